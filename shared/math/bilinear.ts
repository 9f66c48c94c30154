/**
 * Interpolates bilinearly between the nodes of a lattice.
 *
 * @param values Row by row, `columns` values per row.
 * @param x, y Column and row of the point, with fractions.
 * @returns The value; NaN outside the lattice, or where one of the four nodes around the point is NaN.
 */
export function bilinear(
  { columns, rows }: { readonly columns: number; readonly rows: number },
  values: ArrayLike<number>,
  x: number,
  y: number,
): number {
  if (!(x >= 0 && y >= 0 && x <= columns - 1 && y <= rows - 1)) return Number.NaN;
  const column = Math.min(columns - 2, Math.floor(x));
  const row = Math.min(rows - 2, Math.floor(y));
  const [p, q] = [x - column, y - row];
  const k = row * columns + column;
  return (
    (1 - q) * ((1 - p) * values[k] + p * values[k + 1]) +
    q * ((1 - p) * values[k + columns] + p * values[k + columns + 1])
  );
}
