import { sum } from 'd3-array';
import { range } from 'es-toolkit/math';
import { gather, medianOf, rowRuns } from '../../math/index.ts';
import type { Ties } from './ties.ts';

/** How well a fault, given as a column (`TieColumn`), explains the differences between passes. */
export interface Fit {
  /** Size of the fault: the fitted factor on the column. */
  readonly size: number;
  /** Standard error of `size`, allowing for errors that the nodes of a leg or of a place share. */
  readonly sd: number;
  /** Share of the Huber loss that correcting the fault saves, at nodes with a large effect (`CONCERNED`). */
  readonly removed: number;
  /** Huber loss that correcting the fault saves; differences are in standard deviations of the noise. */
  readonly gain: number;
  /** Numbers of places and of legs at which the column is not 0. */
  readonly places: number;
  readonly legs: number;
  /** Share of the places whose own differences give the same sign as `size`. */
  readonly agree: number;
}

/** Residuals beyond this many standard deviations of the noise count linearly, not squared (Huber). */
const CLIP = 2;
/**
 * Factor on standard errors, which come out too small; judgment. `npm run accuracy survey` prints how many
 * surveys without a fault still get a false alarm.
 */
const SHORT = 1.4;
const ROUNDS = 4;
/** Share of the column's largest value above which a node counts in `removed` and the first estimate. */
const CONCERNED = 0.25;

/** Effect of a fault of size 1 on `Ties.difference`: the nodes where it is not 0, and its values there. */
export interface TieColumn {
  readonly at: Int32Array;
  readonly value: Float64Array;
}

/** Fits the size of a fault by least squares with Huber weights; undefined if there is nothing to fit. */
export function fitColumn({ nodes, noise, difference }: Ties, { at, value }: TieColumn): Fit | undefined {
  const n = at.length;
  if (n === 0) return undefined;
  const off = gather(difference, at);
  const sds = gather(noise, at);
  const most = value.reduce((a, b) => Math.max(a, Math.abs(b)), 0);
  const concerned = range(n).filter((k) => Math.abs(value[k]) > CONCERNED * most);
  let size = medianOf(concerned.map((k) => off[k] / value[k]));
  let bread = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const weight = off.map((own, k) => weightAt(own - size * value[k], sds[k]));
    bread = sum(weight, (own, k) => own * value[k] * value[k]);
    if (!(bread > 0)) return undefined;
    size = sum(weight, (own, k) => own * value[k] * off[k]) / bread;
  }
  const left = off.map((own, k) => own - size * value[k]);
  const weight = left.map((own, k) => weightAt(own, sds[k]));
  const lost = off.map((own, k) => lossAt(own, sds[k]));
  const kept = left.map((own, k) => lossAt(own, sds[k]));
  const before = sum(concerned, (k) => lost[k]);
  const after = sum(concerned, (k) => kept[k]);
  /** Adds up a quantity over each leg or place, a run of consecutive nodes. */
  const sumsBy = (number: Int32Array, of: (k: number) => number): number[] =>
    Array.from(
      rowRuns(n, (k, from) => number[at[k]] === number[at[from]]),
      ([from, to]) => sum(range(from, to).map(of)),
    );
  const score = (k: number): number => weight[k] * value[k] * left[k];
  const weights = sumsBy(nodes.leg, (k) => weight[k]);
  const means = sumsBy(nodes.leg, (k) => weight[k] * left[k]).map((own, leg) => own / weights[leg]);
  const breads = sumsBy(nodes.leg, (k) => weight[k] * value[k] * value[k]);
  const sides = sumsBy(nodes.place, (k) => weight[k] * value[k] * off[k]);
  const scores = Math.max(
    meat(sumsBy(nodes.place, score)),
    meat(sumsBy(nodes.leg, score)),
    legError(means) ** 2 * sum(breads, (own) => own ** 2),
  );
  return {
    size,
    sd: (SHORT * Math.sqrt(scores)) / bread,
    removed: before > 0 ? 1 - after / before : 0,
    gain: sum(lost, (own, k) => own - kept[k]),
    places: sides.length,
    legs: means.length,
    agree: sides.filter((side) => side * size > 0).length / sides.length,
  };
}

/** Returns the sum of squared scores, corrected for small samples: the "meat" of the sandwich estimator. */
function meat(scores: readonly number[]): number {
  const squares = sum(scores, (score) => score * score);
  return (squares * scores.length) / Math.max(1, scores.length - 1);
}

/** Prior standard deviation of the error that the nodes of a leg share, m. */
const LEG_ERROR = 0.1;
/** Weight of the prior, in legs. */
const PRIOR_LEGS = 4;

/** Estimates the standard deviation of the error that a leg's nodes share, m, from mean residuals of legs. */
function legError(means: readonly number[]): number {
  const seen = 1.4826 * medianOf(means.map(Math.abs));
  const all = means.length + PRIOR_LEGS;
  return Math.sqrt((means.length * seen ** 2 + PRIOR_LEGS * LEG_ERROR ** 2) / all);
}

function weightAt(left: number, noise: number): number {
  const off = Math.abs(left) / noise;
  return (off <= CLIP ? 1 : CLIP / off) / (noise * noise);
}

function lossAt(left: number, noise: number): number {
  const off = Math.abs(left) / noise;
  return off <= CLIP ? 0.5 * off * off : CLIP * (off - 0.5 * CLIP);
}

/** Clips differences at `CLIP` standard deviations, then divides by the noise variance; 0 if not tied. */
export function clippedScores({ noise, difference }: Ties): Float64Array {
  return difference.map((value, i) => {
    const most = CLIP * noise[i];
    return Number.isNaN(value) ? 0 : Math.max(-most, Math.min(most, value)) / (noise[i] * noise[i]);
  });
}
