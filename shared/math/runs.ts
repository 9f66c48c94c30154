/**
 * Splits rows 0 to `count - 1` into runs of neighboring rows that belong together.
 *
 * @param isSame True when a row belongs to the run that began at `from`.
 * @param least Minimum number of rows of a run; shorter runs are left out.
 * @returns The first row of each run, and the row after the last row of the run.
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
