import { gather } from '../math/index.ts';
import type { Blocks } from './blocks.ts';

/**
 * Block means in order of distance from the waypoint, with a model of their errors.
 *
 * The error of a block is its own noise plus three shared errors. The blocks of a leg share a constant depth
 * bias, and a position offset that changes depths by offset times gradient. All legs share a latency of
 * positions, whose effect changes sign with the direction of travel.
 */
export interface Observations {
  readonly count: number;
  /** Position relative to the waypoint, m. */
  readonly east: Float64Array;
  readonly north: Float64Array;
  /** Depth, positive down, less `zero`, m. */
  readonly depth: Float64Array;
  /** Depth of the block nearest the waypoint, m. */
  readonly zero: number;
  /** As `Blocks.leg`. */
  readonly leg: Int32Array;
  /** Variance of the block's own noise, m^2. */
  readonly noise: Float64Array;
  /** Variance of the depth bias of each leg, m^2. */
  readonly bias: Float64Array;
  /** East part of the gradient at each block, m/m; before `withGradient`, of the gradient along the track. */
  readonly gradientEast: Float64Array;
  readonly gradientNorth: Float64Array;
  readonly wayEast: Float64Array;
  readonly wayNorth: Float64Array;
  /** Shape coordinate (`ShapeCoordinate` of `surface.ts`). */
  readonly shape?: Float64Array;
}

/** Standard deviation of a leg's depth bias, m: heave, squat and sound speed. */
const BIAS = 0.05;
/**
 * Standard deviation of the position offset across the track, m. Its effect is added to the bias, because a
 * pass does not show the gradient across the track. This gradient is assumed to be as steep as the gradient
 * along the passes.
 */
const UNSEEN_OFFSET = 0.5;
/** Maximum variance that `UNSEEN_OFFSET` adds to the variance of a leg's bias, m^2. */
const MAX_UNSEEN = 0.02;
/** Number of soundings above which a block's noise falls no further: errors of neighbors are correlated. */
const INDEPENDENT = 4;
/** Variance added to each block's noise, m^2: keeps the covariance regular where blocks coincide. */
const MIN_NOISE = 1e-6;

/** Sorts blocks by distance and models their errors. The gradients are only the parts along the track. */
export function makeObservations(blocks: Blocks): Observations {
  const n = blocks.count;
  const order = Array.from({ length: n }, (_, i) => i);
  const distance = Float64Array.from(order, (i) => blocks.east[i] ** 2 + blocks.north[i] ** 2);
  order.sort((a, b) => distance[a] - distance[b] || a - b);
  const take = (column: Float64Array): Float64Array => gather(column, order);
  const zero = blocks.depth[order[0]];
  const wayEast = take(blocks.wayEast);
  const wayNorth = take(blocks.wayNorth);
  const along = take(blocks.along);
  const steep = along.reduce((sum, g) => sum + (g * g) / n, 0);
  return {
    count: n,
    east: take(blocks.east),
    north: take(blocks.north),
    depth: take(blocks.depth).map((depth) => depth - zero),
    zero,
    leg: Int32Array.from(order, (i) => blocks.leg[i]),
    noise: Float64Array.from(
      order,
      (i) => blocks.noise[i] ** 2 / Math.min(blocks.weight[i], INDEPENDENT) + MIN_NOISE,
    ),
    bias: new Float64Array(blocks.leg[n - 1] + 1).fill(
      BIAS ** 2 + Math.min(MAX_UNSEEN, UNSEEN_OFFSET ** 2 * steep),
    ),
    gradientEast: along.map((g, i) => g * wayEast[i]),
    gradientNorth: along.map((g, i) => g * wayNorth[i]),
    wayEast,
    wayNorth,
  };
}

const MAX_LEGS_PER_BLOCK = 0.5;

/** Tells whether blocks are cells (`cellBlocks`) or isolated soundings: few blocks then share a leg. */
export const areCells = ({ bias, count }: Observations): boolean => bias.length > MAX_LEGS_PER_BLOCK * count;

/** Picks some observations. @param rows Indices, ascending. */
export function pickObservations(all: Observations, rows: Int32Array): Observations {
  const take = (column: Float64Array): Float64Array => gather(column, rows);
  return {
    ...all,
    count: rows.length,
    east: take(all.east),
    north: take(all.north),
    depth: take(all.depth),
    leg: rows.map((i) => all.leg[i]),
    noise: take(all.noise),
    gradientEast: take(all.gradientEast),
    gradientNorth: take(all.gradientNorth),
    wayEast: take(all.wayEast),
    wayNorth: take(all.wayNorth),
    ...(all.shape === undefined ? {} : { shape: take(all.shape) }),
  };
}

/**
 * Replaces the gradients along the track with the bottom's gradient at each block, m/m.
 *
 * The effect of a position offset then follows from the gradient, so the bias no longer includes
 * `UNSEEN_OFFSET`. Outlying legs keep their raised bias, which is above `BIAS ** 2 + MAX_UNSEEN`.
 */
export const withGradient = (
  observations: Observations,
  gradientEast: Float64Array,
  gradientNorth: Float64Array,
): Observations => ({
  ...observations,
  gradientEast,
  gradientNorth,
  bias: observations.bias.map((bias) => (bias > BIAS ** 2 + MAX_UNSEEN ? bias : BIAS ** 2)),
});
