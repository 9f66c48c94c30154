/**
 * Runs of neighboring rows that belong together, from the first row to the last.
 *
 * @param isSame True when a row belongs to the run that began at `from`.
 */
export function* rowRuns(
  count: number,
  isSame: (row: number, from: number) => boolean,
): Generator<readonly [from: number, to: number]> {
  for (let from = 0, row = 1; row <= count; row++) {
    if (row < count && isSame(row, from)) continue;
    yield [from, row];
    from = row;
  }
}
