import { STRUCTURE_WORDS } from '../contract/index.ts';
import { solveSymmetric } from '../math/index.ts';
import { MEASURES, type Places } from './places.ts';

/** Bins of a measure, by equal shares of the background. */
const BINS = 8;
/** Weight of the background in a bin's share, marks, and part of the evidence that is kept, as measures go together. */
const PSEUDO_MARKS = 6;
const KEPT = 0.7;
/** Ridge penalty of the logistic regression, and its Newton steps. */
const RIDGE = 1;
const STEPS = 8;

/** Logarithm of how much more usual a place is among marks than in the background, measure by measure (naive Bayes). */
export function bayesScores(fish: Places, background: Places, places: Places): Float64Array {
  const scores = new Float64Array(places.count);
  const add = (bins: number, binOf: (of: Places, i: number) => number): void => {
    const shares = (of: Places): Float64Array => {
      const counts = new Float64Array(bins);
      for (let i = 0; i < of.count; i++) counts[binOf(of, i)] += 1;
      return counts;
    };
    const usual = shares(background).map((count) => (count + 1) / (background.count + bins));
    const marked = shares(fish);
    const gain = usual.map((share, b) =>
      Math.log((marked[b] + PSEUDO_MARKS * share) / (fish.count + PSEUDO_MARKS) / share),
    );
    for (let i = 0; i < places.count; i++) scores[i] += KEPT * gain[binOf(places, i)];
  };
  add(STRUCTURE_WORDS.length, ({ word }, i) => word[i]);
  for (const name of MEASURES) {
    const sorted = background.measures[name].toSorted();
    const bounds = Array.from(
      { length: BINS - 1 },
      (_, b) => sorted[Math.floor(((b + 1) * sorted.length) / BINS)],
    );
    add(BINS, ({ measures }, i) =>
      bounds.reduce((bin, bound) => bin + (measures[name][i] > bound ? 1 : 0), 0),
    );
  }
  return scores;
}

/** Logit of a ridge logistic regression of marks against the background, which weighs as much as the marks do. */
export function logisticScores(fish: Places, background: Places, places: Places): Float64Array {
  const scale = MEASURES.map((name) => {
    const values = background.measures[name];
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    const sd = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
    return { name, mean, sd: sd > 0 ? sd : 1 };
  });
  const size = 1 + MEASURES.length + STRUCTURE_WORDS.length;
  const row = new Float64Array(size);
  const fill = (of: Places, i: number): void => {
    row.fill(0);
    row[0] = 1;
    for (const [m, { name, mean, sd }] of scale.entries()) row[1 + m] = (of.measures[name][i] - mean) / sd;
    row[1 + MEASURES.length + of.word[i]] = 1;
  };
  const product = (weights: Float64Array): number => {
    let sum = 0;
    for (let j = 0; j < size; j++) sum += row[j] * weights[j];
    return sum;
  };
  let weights = new Float64Array(size);
  for (let step = 0; step < STEPS; step++) {
    const hessian = new Float64Array(size * size);
    const slope = weights.map((weight, j) => (j === 0 ? 0 : -RIDGE * weight));
    for (let j = 0; j < size; j++) hessian[j * size + j] = j === 0 ? 1e-6 : RIDGE;
    for (const [of, is, weight] of [
      [fish, 1, 1],
      [background, 0, fish.count / background.count],
    ] as const)
      for (let i = 0; i < of.count; i++) {
        fill(of, i);
        const p = 1 / (1 + Math.exp(-product(weights)));
        for (let j = 0; j < size; j++) {
          slope[j] += weight * (is - p) * row[j];
          const part = weight * p * (1 - p) * row[j];
          if (part !== 0) for (let c = 0; c <= j; c++) hessian[j * size + c] += part * row[c];
        }
      }
    for (let j = 0; j < size; j++) for (let c = 0; c < j; c++) hessian[c * size + j] = hessian[j * size + c];
    const move = solveSymmetric(hessian, slope, size);
    if (move === undefined) break;
    weights = weights.map((value, j) => value + move[j]);
  }
  return Float64Array.from({ length: places.count }, (_, i) => {
    fill(places, i);
    return product(weights);
  });
}

/** Values less their mean, over their standard deviation; 0 where they are all one. */
export function standardized(values: Float64Array): Float64Array {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const sd = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
  return values.map((value) => (sd > 0 ? (value - mean) / sd : 0));
}
