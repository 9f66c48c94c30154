import { STRUCTURE_WORDS } from '../../shared/contract/bottom-model.ts';
import type { ScoringTable } from '../../shared/structure/score.ts';
import type { Dataset } from './dataset.ts';

const WORDS = STRUCTURE_WORDS.length;

/** Penalties that a fit minimizes besides the log loss. */
export interface Penalties {
  /** Weight of the sum of squared weights. */
  readonly ridge: number;
  /** Weight of the mean divergence between two surveys of a place. */
  readonly consistency: number;
  /**
   * Share that each word should keep among rows without a known word. Otherwise a table becomes consistent by
   * calling all of these rows a ditch.
   */
  readonly shares?: Float64Array;
}

/** Weight of the divergence from `shares`; chosen. */
const KEEP_SHARES = 3;

/**
 * Fits a multinomial logistic regression by L-BFGS.
 *
 * Minimizes mean log loss + ridge x sum of squared weights + consistency x mean Jeffreys divergence of the
 * pairs + `KEEP_SHARES` x Kullback-Leibler divergence from the shares, on standardized, clipped features.
 * Source: Nocedal & Wright 2006, algorithms 7.4 and 3.1 (backtracking).
 */
export function fitTable(data: Dataset, penalties: Penalties, steps = 150): ScoringTable {
  const { mean, sd } = standardize(data.features.filter((_, r) => data.words[r] !== undefined));
  const columns = mean.length;
  const x = new Float64Array(data.features.length * columns);
  data.features.forEach((row, r) => {
    for (let c = 0; c < columns; c++)
      x[r * columns + c] = Math.max(-4, Math.min(4, (row[c] - mean[c]) / sd[c]));
  });
  const loss = (theta: Float64Array, gradient: Float64Array): number =>
    lossAndGradient(x, data, penalties, theta, gradient);
  const theta = minimize(loss, new Float64Array((columns + 1) * WORDS), steps);
  return {
    mean,
    sd,
    weights: theta.slice(0, columns * WORDS),
    intercepts: theta.slice(columns * WORDS),
  };
}

function standardize(features: readonly Float64Array[]): { mean: Float64Array; sd: Float64Array } {
  const columns = features[0].length;
  const mean = new Float64Array(columns);
  const sd = new Float64Array(columns);
  for (const row of features) for (let c = 0; c < columns; c++) mean[c] += row[c] / features.length;
  for (const row of features)
    for (let c = 0; c < columns; c++) sd[c] += (row[c] - mean[c]) ** 2 / features.length;
  return { mean, sd: sd.map((v) => Math.max(Math.sqrt(v), 1e-6)) };
}

function lossAndGradient(
  x: Float64Array,
  { words, pairs }: Dataset,
  { ridge, consistency, shares }: Penalties,
  theta: Float64Array,
  gradient: Float64Array,
): number {
  const rows = words.length;
  const columns = x.length / rows;
  const bias = columns * WORDS;
  // `logs` are the logarithms of the probabilities; `change` is the gradient of the loss in the scores of
  // each row.
  const logs = new Float64Array(rows * WORDS);
  const change = new Float64Array(rows * WORDS);
  for (let r = 0; r < rows; r++) {
    const row = logs.subarray(r * WORDS, (r + 1) * WORDS);
    row.set(theta.subarray(bias));
    for (let c = 0; c < columns; c++) {
      const v = x[r * columns + c];
      for (let w = 0; w < WORDS; w++) row[w] += v * theta[c * WORDS + w];
    }
    const total = logOfSum(row);
    for (let w = 0; w < WORDS; w++) row[w] -= total;
  }
  let loss = 0;
  const known = words.reduce<number>((sum, word) => sum + (word === undefined ? 0 : 1), 0);
  words.forEach((word, r) => {
    if (word === undefined) return;
    loss -= logs[r * WORDS + word] / known;
    for (let w = 0; w < WORDS; w++)
      change[r * WORDS + w] += (Math.exp(logs[r * WORDS + w]) - (w === word ? 1 : 0)) / known;
  });
  const share = consistency / Math.max(1, pairs.length);
  for (const [a, b] of pairs) loss += share * addDivergence(logs, change, a * WORDS, b * WORDS, share);
  if (shares !== undefined) loss += KEEP_SHARES * addSharesLost(logs, change, words, shares);
  gradient.fill(0);
  for (let r = 0; r < rows; r++) {
    const row = change.subarray(r * WORDS, (r + 1) * WORDS);
    for (let c = 0; c < columns; c++) {
      const v = x[r * columns + c];
      for (let w = 0; w < WORDS; w++) gradient[c * WORDS + w] += v * row[w];
    }
    for (let w = 0; w < WORDS; w++) gradient[bias + w] += row[w];
  }
  for (let i = 0; i < bias; i++) {
    loss += ridge * theta[i] * theta[i];
    gradient[i] += 2 * ridge * theta[i];
  }
  return loss;
}

/**
 * Returns Jeffreys' divergence of two rows, sum of (p - q) (ln p - ln q), and adds `share` times its gradient
 * in their scores to `change`.
 */
function addDivergence(
  logs: Float64Array,
  change: Float64Array,
  a: number,
  b: number,
  share: number,
): number {
  let divergence = 0;
  let [meanA, meanB] = [0, 0];
  for (let w = 0; w < WORDS; w++) {
    const [p, q, apart] = [Math.exp(logs[a + w]), Math.exp(logs[b + w]), logs[a + w] - logs[b + w]];
    divergence += (p - q) * apart;
    meanA += p * apart;
    meanB += q * apart;
  }
  for (let w = 0; w < WORDS; w++) {
    const [p, q, apart] = [Math.exp(logs[a + w]), Math.exp(logs[b + w]), logs[a + w] - logs[b + w]];
    change[a + w] += share * (p * (apart - meanA) + p - q);
    change[b + w] -= share * (q * (apart - meanB) + p - q);
  }
  return divergence;
}

/**
 * Returns the Kullback-Leibler divergence of the shares from the mean probabilities of rows without a known
 * word, and adds its gradient in the scores, times `KEEP_SHARES`, to `change`.
 */
function addSharesLost(
  logs: Float64Array,
  change: Float64Array,
  words: Dataset['words'],
  shares: Float64Array,
): number {
  const mean = meanWhereUnknown(logs, words);
  const unknown = words.filter((word) => word === undefined).length;
  words.forEach((word, r) => {
    if (word !== undefined) return;
    let pull = 0;
    for (let w = 0; w < WORDS; w++) pull += (Math.exp(logs[r * WORDS + w]) * shares[w]) / mean[w];
    for (let w = 0; w < WORDS; w++)
      change[r * WORDS + w] +=
        (KEEP_SHARES / unknown) * Math.exp(logs[r * WORDS + w]) * (pull - shares[w] / mean[w]);
  });
  return shares.reduce((sum, share, w) => sum + share * Math.log(share / mean[w]), 0);
}

function meanWhereUnknown(logs: Float64Array, words: Dataset['words']): Float64Array {
  const sums = new Float64Array(WORDS);
  let count = 0;
  words.forEach((word, r) => {
    if (word !== undefined) return;
    count++;
    for (let w = 0; w < WORDS; w++) sums[w] += Math.exp(logs[r * WORDS + w]);
  });
  return sums.map((sum) => sum / count);
}

function logOfSum(scores: Float64Array): number {
  let most = Number.NEGATIVE_INFINITY;
  for (let w = 0; w < WORDS; w++) most = Math.max(most, scores[w]);
  let sum = 0;
  for (let w = 0; w < WORDS; w++) sum += Math.exp(scores[w] - most);
  return most + Math.log(sum);
}

/** Minimizes by L-BFGS with 12 correction pairs. */
function minimize(
  loss: (theta: Float64Array, gradient: Float64Array) => number,
  start: Float64Array,
  steps: number,
): Float64Array {
  let theta = start;
  let gradient = new Float64Array(theta.length);
  let value = loss(theta, gradient);
  const pairs: { s: Float64Array; y: Float64Array; rho: number }[] = [];
  for (let step = 0; step < steps; step++) {
    const direction = twoLoop(gradient, pairs);
    const slope = product(direction, gradient);
    let length = pairs.length === 0 ? 1 / Math.sqrt(product(gradient, gradient)) : 1;
    let next = theta;
    const nextGradient = new Float64Array(theta.length);
    let nextValue = value;
    for (let k = 0; k < 20; k++, length /= 2) {
      next = theta.map((v, i) => v + length * direction[i]);
      nextValue = loss(next, nextGradient);
      if (nextValue <= value + 1e-4 * length * slope) break;
    }
    const s = next.map((v, i) => v - theta[i]);
    const y = nextGradient.map((v, i) => v - gradient[i]);
    const sy = product(s, y);
    if (sy > 1e-14) pairs.push({ s, y, rho: 1 / sy });
    if (pairs.length > 12) pairs.shift();
    const gain = value - nextValue;
    theta = next;
    gradient = nextGradient;
    value = nextValue;
    if (gain < 1e-7) break;
  }
  return theta;
}

function twoLoop(
  gradient: Float64Array,
  pairs: readonly { s: Float64Array; y: Float64Array; rho: number }[],
): Float64Array {
  const q = gradient.map((v) => -v);
  const a = new Float64Array(pairs.length);
  for (let k = pairs.length - 1; k >= 0; k--) {
    a[k] = pairs[k].rho * product(pairs[k].s, q);
    for (let i = 0; i < q.length; i++) q[i] -= a[k] * pairs[k].y[i];
  }
  const last = pairs[pairs.length - 1];
  if (last !== undefined) {
    const scale = product(last.s, last.y) / product(last.y, last.y);
    for (let i = 0; i < q.length; i++) q[i] *= scale;
  }
  pairs.forEach(({ s, y, rho }, k) => {
    const b = a[k] - rho * product(y, q);
    for (let i = 0; i < q.length; i++) q[i] += b * s[i];
  });
  return q;
}

function product(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}
