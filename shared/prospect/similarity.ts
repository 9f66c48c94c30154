import { bisectLeft } from 'd3-array';
import { mean, range } from 'es-toolkit/math';
import { STRUCTURE_WORDS } from '../contract/index.ts';
import { solveSymmetric } from '../math/index.ts';
import { deviation, everyNth, joinPlaces, MEASURES, type MeasuredPlaces, type Places } from './places.ts';
import { meetsMeasure, meetsWord, type Rule } from './rules.ts';

/** Number of bins of a measure, each with an equal share of the background. */
const BINS = 8;
/** Number of pseudo-marks, spread like the background, that naive Bayes adds to the marks with fish. */
const PSEUDO_MARKS = 6;
/** Factor on the evidence of each measure and of the word; below 1, because all are correlated. */
const KEPT = 0.7;
/** Ridge penalty on each weight of the regression except the constant. */
const RIDGE = 1;
const STEPS = 8;
const SETTLED = 1e-3;
/** Maximum number of places that the regression contrasts with the marks. */
const REGRESSION = 1000;
/** Weight of the share of rules met in the similarity; naive Bayes and the regression have weight 1. */
const RULE_WEIGHT = 0.5;
/**
 * With at least this many marks without fish, the marks with fish are compared with these marks and with up
 * to four times as many background places; otherwise, with the whole background.
 */
const MIN_BLANKS = 5;

/** Returns the similarity of a place to the marks with fish, by structure word; not a probability. */
export type Similarity = (places: MeasuredPlaces, i: number) => Float64Array;

/** Makes the `Similarity` to marks with fish, given the rules found for these marks. */
export type SimilarityOf = (rules: readonly Rule[], fish: Places) => Similarity;

/**
 * Prepares the similarity to marks: the sum of naive Bayes, a logistic regression and, with half the weight,
 * the share of rules met. Each part is divided by its standard deviation over the background.
 *
 * @param blanks Marks without fish. @param background Places with words, spread over the sounded water.
 */
export function similarityOn(blanks: Places, background: Places): SimilarityOf {
  const other =
    blanks.count >= MIN_BLANKS
      ? joinPlaces(everyNth(background, Math.ceil(background.count / (4 * blanks.count))), blanks)
      : background;
  const ways = [bayesAgainst(other), logisticAgainst(everyNth(other, Math.ceil(other.count / REGRESSION)))];
  return (rules, fish) => {
    const parts = [ruleScore(rules), ...ways.map((way) => way(fish))].map((score, part) => ({
      score,
      weight: part === 0 ? RULE_WEIGHT : 1,
      sd: deviation(Array.from(background.word, (word, i) => score(background, i)[word])),
    }));
    return (places, i) => {
      const sums = new Float64Array(STRUCTURE_WORDS.length);
      for (const { score, weight, sd } of parts)
        score(places, i).forEach((value, word) => {
          sums[word] += (weight * value) / sd;
        });
      return sums;
    };
  };
}

function ruleScore(rules: readonly Rule[]): Similarity {
  const parts = rules.map(({ conditions }) => {
    const measured = conditions.filter((condition) => condition.family !== 'word');
    const words = [...STRUCTURE_WORDS.keys()].filter((word) =>
      conditions.every((condition) => condition.family !== 'word' || meetsWord(condition, word)),
    );
    return { measured, words };
  });
  return (places, i) => {
    const shares = new Float64Array(STRUCTURE_WORDS.length);
    for (const { measured, words } of parts)
      if (measured.every((condition) => meetsMeasure(condition, places, i)))
        for (const word of words) shares[word] += 1 / rules.length;
    return shares;
  };
}

/** Prepares naive Bayes: the log ratio of the frequencies of a value among marks and background. */
function bayesAgainst(background: Places): (fish: Places) => Similarity {
  const gainOf = (bins: number, binOf: (of: Places, i: number) => number) => {
    const countIn = (of: Places): Float64Array => {
      const counts = new Float64Array(bins);
      for (let i = 0; i < of.count; i++) counts[binOf(of, i)] += 1;
      return counts;
    };
    const shares = countIn(background).map((count) => (count + 1) / (background.count + bins));
    return (fish: Places): Float64Array => {
      const marked = countIn(fish);
      return shares.map(
        (share, b) =>
          KEPT * Math.log((marked[b] + PSEUDO_MARKS * share) / (fish.count + PSEUDO_MARKS) / share),
      );
    };
  };
  const bins = MEASURES.map((name) => {
    const sorted = background[name].toSorted();
    const bounds = range(1, BINS).map((b) => sorted[Math.floor((b * sorted.length) / BINS)]);
    const binOf = (places: MeasuredPlaces, i: number): number => bisectLeft(bounds, places[name][i]);
    return { binOf, gainIn: gainOf(BINS, binOf) };
  });
  const wordGainIn = gainOf(STRUCTURE_WORDS.length, ({ word }, i) => word[i]);
  return (fish) => {
    const gains = bins.map(({ binOf, gainIn }) => ({ binOf, gain: gainIn(fish) }));
    const words = wordGainIn(fish);
    return (places, i) => {
      const shape = gains.reduce((sum, { binOf, gain }) => sum + gain[binOf(places, i)], 0);
      return words.map((word) => shape + word);
    };
  };
}

/** Prepares a ridge logistic regression of marks against the background, with equal total weights. */
function logisticAgainst(background: Places): (fish: Places) => Similarity {
  const scale = MEASURES.map((name) => {
    const values = Array.from(background[name]);
    return { name, middle: mean(values), sd: deviation(values) };
  });
  const firstWord = 1 + MEASURES.length;
  const size = firstWord + STRUCTURE_WORDS.length;
  const rowOf = (of: Places, i: number): Float64Array => {
    const row = new Float64Array(size);
    row[0] = 1;
    for (const [m, { name, middle, sd }] of scale.entries()) row[1 + m] = (of[name][i] - middle) / sd;
    row[firstWord + of.word[i]] = 1;
    return row;
  };
  const rowsOf = (of: Places): Float64Array[] => Array.from({ length: of.count }, (_, i) => rowOf(of, i));
  const others = rowsOf(background);
  return (fish) => {
    const rows = [...rowsOf(fish), ...others];
    let weights = new Float64Array(size);
    for (let step = 0; step < STEPS; step++) {
      const move = newtonStep(rows, fish.count, weights);
      if (move === undefined) break;
      weights = weights.map((value, j) => value + move[j]);
      if (move.every((value) => Math.abs(value) < SETTLED)) break;
    }
    return (places, i) => {
      const shape = scale.reduce(
        (sum, { name, middle, sd }, m) => sum + (weights[1 + m] * (places[name][i] - middle)) / sd,
        0,
      );
      return weights.subarray(firstWord).map((word) => shape + word);
    };
  };
}

/** Returns the change of the weights in a Newton step. @param rows Rows of the marks, then all other rows. */
function newtonStep(rows: readonly Float64Array[], marks: number, weights: Float64Array) {
  const size = weights.length;
  const hessian = new Float64Array(size * size);
  const slope = weights.map((weight, j) => (j === 0 ? 0 : -RIDGE * weight));
  for (let j = 0; j < size; j++) hessian[j * size + j] = j === 0 ? 1e-6 : RIDGE;
  for (const [r, row] of rows.entries()) {
    const isMark = r < marks;
    const weight = isMark ? 1 : marks / (rows.length - marks);
    let logit = 0;
    for (let j = 0; j < size; j++) logit += row[j] * weights[j];
    const p = 1 / (1 + Math.exp(-logit));
    for (let j = 0; j < size; j++) {
      if (row[j] === 0) continue;
      slope[j] += weight * ((isMark ? 1 : 0) - p) * row[j];
      const part = weight * p * (1 - p) * row[j];
      for (let c = 0; c <= j; c++) hessian[j * size + c] += part * row[c];
    }
  }
  for (let j = 0; j < size; j++) for (let c = 0; c < j; c++) hessian[c * size + j] = hessian[j * size + c];
  return solveSymmetric(hessian, slope, size);
}
