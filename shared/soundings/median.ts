/** Values up to this many are put in order one by one. */
const FEW = 24;

/** Middle value; of an even count the mean of the two middle ones. The values may be put in order. None is NaN. */
export function median(values: number[]): number {
  const half = values.length >> 1;
  const isOdd = values.length % 2 === 1;
  if (values.length <= FEW) {
    sortFew(values);
    return isOdd ? values[half] : (values[half - 1] + values[half]) / 2;
  }
  const parted = Float64Array.from(values);
  part(parted, half);
  if (isOdd) return parted[half];
  // The half below is in no order.
  let below = parted[0];
  for (let i = 1; i < half; i++) if (parted[i] > below) below = parted[i];
  return (below + parted[half]) / 2;
}

/** Puts the value that would stand at a place in order there, none above it before, none below it after. Source: Hoare 1961, CACM 4(7):321. */
function part(values: Float64Array, place: number): void {
  let low = 0;
  let high = values.length - 1;
  while (low < high) {
    const pivot = values[place];
    let i = low;
    let j = high;
    while (i <= j) {
      while (values[i] < pivot) i++;
      while (values[j] > pivot) j--;
      if (i > j) break;
      const value = values[i];
      values[i++] = values[j];
      values[j--] = value;
    }
    if (j < place) low = i;
    if (place < i) high = j;
  }
}

function sortFew(values: number[]): void {
  for (let i = 1; i < values.length; i++) {
    const value = values[i];
    let k = i;
    for (; k > 0 && values[k - 1] > value; k--) values[k] = values[k - 1];
    values[k] = value;
  }
}
