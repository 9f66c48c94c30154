/** Median of a list, which it puts in order; the mean of the middle two of an even number; NaN of none. */
export function medianOf(values: number[] | Float64Array): number {
  const n = values.length;
  if (n === 0) return Number.NaN;
  values.sort((a: number, b: number) => a - b);
  const half = n >> 1;
  return n % 2 === 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}
