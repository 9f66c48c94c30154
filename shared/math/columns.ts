/** Copies a table with only the given rows. Sets `count`, picks from typed arrays, keeps other values. */
export function pickRows<T extends { readonly count: number }>(table: T, rows: ArrayLike<number>): T {
  const columns = Object.entries<unknown>({ ...table }).flatMap(([name, column]) => {
    if (!ArrayBuffer.isView(column)) return [];
    const from = column as Float64Array;
    const to = new (from.constructor as Float64ArrayConstructor)(rows.length);
    for (let i = 0; i < rows.length; i++) to[i] = from[rows[i]];
    return [[name, to]];
  });
  return { ...table, ...Object.fromEntries(columns), count: rows.length };
}
