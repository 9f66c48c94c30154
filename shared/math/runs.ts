/**
 * Runs of neighboring rows that belong together, from the first row to the last.
 *
 * @param isSame True when a row belongs to the run that began at `from`.
 * @param least Runs of fewer rows than this are left out.
 * @returns first row of each run, and the row after its last.
 */
export function* rowRuns(
  count: number,
  isSame: (row: number, from: number) => boolean,
  least = 1,
): Generator<readonly [from: number, to: number]> {
  for (let from = 0, row = 1; row <= count; row++) {
    if (row < count && isSame(row, from)) continue;
    if (row - from >= least) yield [from, row];
    from = row;
  }
}
