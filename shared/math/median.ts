import { quickselect } from 'd3-array';

/** Lists up to this long are sorted by insertion, which needs no call per comparison. */
const SHORT = 24;

/** Median of a list: for an even count the mean of the middle two, NaN for none. Short lists are sorted in place. */
export function medianOf(values: number[] | Float64Array): number {
  const n = values.length;
  if (n === 0) return Number.NaN;
  const half = n >> 1;
  if (n <= SHORT) {
    const sorted = insertionSort(values);
    return n % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
  }
  const halved = Float64Array.from(values);
  quickselect(halved, half);
  if (n % 2 === 1) return halved[half];
  let below = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < half; i++) below = Math.max(below, halved[i]);
  return (below + halved[half]) / 2;
}

function insertionSort(values: number[] | Float64Array): number[] | Float64Array {
  for (let i = 1; i < values.length; i++) {
    const value = values[i];
    let j = i - 1;
    while (j >= 0 && values[j] > value) {
      values[j + 1] = values[j];
      j--;
    }
    values[j + 1] = value;
  }
  return values;
}
