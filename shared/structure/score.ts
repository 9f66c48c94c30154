import { STRUCTURE_WORDS } from '../contract/index.ts';
import { FEATURE_NAMES } from './features/features.ts';

/**
 * Mean and standard deviation of each feature, its weight for each word, and the intercept of each word.
 * Features are in the order of `FEATURE_NAMES`, words in the order of `STRUCTURE_WORDS`.
 */
export interface ScoringTable {
  readonly mean: Float64Array;
  readonly sd: Float64Array;
  /** Features x words, row-major. */
  readonly weights: Float64Array;
  readonly intercepts: Float64Array;
}

const WORDS = STRUCTURE_WORDS.length;
const LIMIT = 4;

/**
 * Returns the probability of each structure word: the softmax of the scores of all words.
 *
 * Score of a word = intercept + sum of x times weight over all features, where
 * x = clip((feature - mean) / sd, -4, 4).
 */
export function scoreWords(table: ScoringTable, features: Float64Array): Float64Array {
  const scores = table.intercepts.slice();
  for (let i = 0, k = 0; i < features.length; i++) {
    const x = Math.max(-LIMIT, Math.min(LIMIT, (features[i] - table.mean[i]) / table.sd[i]));
    for (let w = 0; w < WORDS; w++, k++) scores[w] += x * table.weights[k];
  }
  const most = Math.max(...scores);
  const odds = scores.map((score) => Math.exp(score - most));
  const all = odds.reduce((sum, own) => sum + own);
  return odds.map((own) => own / all);
}

/**
 * Reads a table from lines `feature mean sd w1 ... w12`, one per feature in the order of `FEATURE_NAMES`,
 * then `intercept 0 1 b1 ... b12`.
 *
 * @throws Error if the lines do not match the features: the table was fitted to other features.
 */
export function parseTable(text: string): ScoringTable {
  const lines = text
    .trim()
    .split('\n')
    .map((line) => line.trim().split(/\s+/));
  const names = lines.map((line) => line[0]);
  const expected = [...FEATURE_NAMES, 'intercept'];
  if (names.length !== expected.length || names.some((name, i) => name !== expected[i])) {
    throw new Error('structure table does not fit the features; run the fit again');
  }
  const rows = lines.map((line) => line.slice(1).map(Number));
  const features = rows.slice(0, -1);
  return {
    mean: Float64Array.from(features, (row) => row[0]),
    sd: Float64Array.from(features, (row) => row[1]),
    weights: Float64Array.from(features.flatMap((row) => row.slice(2))),
    intercepts: Float64Array.from(rows[rows.length - 1].slice(2)),
  };
}
