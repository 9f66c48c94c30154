import type { Blocks } from './blocks.ts';

/**
 * What a surface is fitted to: block means in order of distance from the origin, with what is known of their errors.
 *
 * The error of a block is its own noise, plus three errors that all blocks of a leg share: a constant depth bias,
 * a position offset (it moves the pass over the bottom, so it shows as depth times the bottom's gradient), and a
 * position lag along the way, which all legs share and which changes sign with the way.
 */
export interface Design {
  readonly count: number;
  /** m. */
  readonly east: Float64Array;
  readonly north: Float64Array;
  /** m, positive down, less `zero`. */
  readonly depth: Float64Array;
  readonly zero: number;
  /** Leg of a pass, from 0. */
  readonly leg: Int32Array;
  readonly legs: number;
  /** Variance of the block's own noise, m^2. */
  readonly noise: Float64Array;
  /** Variance of the leg's depth bias, m^2, by leg. */
  readonly bias: Float64Array;
  /** Bottom gradient at each block as far as it is known, m/m. */
  readonly gradientEast: Float64Array;
  readonly gradientNorth: Float64Array;
  readonly wayEast: Float64Array;
  readonly wayNorth: Float64Array;
  /** Third coordinate, in ranges; see `shape-coordinate.ts`. */
  readonly shape?: Float64Array;
}

/** Standard deviation of a leg's position offset, m, east and north each: a consumer receiver over minutes. */
const OFFSET = 1;
/** Standard deviation of the lag of position behind depth, m: about half a second at idle speed. */
const LAG = 1;
/** Standard deviation of a leg's depth bias, m: heave, squat and sound speed. */
const BIAS = 0.05;
/** Part of the gradient across the way that a first look along the pass does not show, m of offset. */
const UNSEEN_OFFSET = 0.5;
/** Variance of a leg's bias that only doubt of the leg itself can have brought about, m^2. */
const LET_GO = 0.03;
/** Soundings behind a block beyond which its noise falls no further: errors of neighbors are not independent. */
const INDEPENDENT = 4;
/** m^2; keeps coinciding blocks apart. */
const LEAST_NOISE = 1e-6;

/** Puts blocks in order of distance and sets out their errors; gradients are those seen along the passes. */
export function makeDesign(blocks: Blocks): Design {
  const n = blocks.count;
  const order = Array.from({ length: n }, (_, i) => i);
  const distance = Float64Array.from(order, (i) => blocks.east[i] ** 2 + blocks.north[i] ** 2);
  order.sort((a, b) => distance[a] - distance[b] || a - b);
  const take = (column: Float64Array): Float64Array => Float64Array.from(order, (i) => column[i]);
  const legs = blocks.leg[n - 1] + 1;
  const zero = blocks.depth[order[0]];
  const wayEast = take(blocks.wayEast);
  const wayNorth = take(blocks.wayNorth);
  const along = take(blocks.along);
  let steep = 0;
  for (const g of along) steep += (g * g) / n;
  const bias = new Float64Array(legs).fill(BIAS ** 2 + Math.min(0.02, UNSEEN_OFFSET ** 2 * steep));
  return {
    count: n,
    east: take(blocks.east),
    north: take(blocks.north),
    depth: Float64Array.from(order, (i) => blocks.depth[i] - zero),
    zero,
    leg: Int32Array.from(order, (i) => blocks.leg[i]),
    legs,
    noise: Float64Array.from(
      order,
      (i) => blocks.noise[i] ** 2 / Math.min(blocks.weight[i], INDEPENDENT) + LEAST_NOISE,
    ),
    bias,
    gradientEast: along.map((g, i) => g * wayEast[i]),
    gradientNorth: along.map((g, i) => g * wayNorth[i]),
    wayEast,
    wayNorth,
  };
}

/** The design of some of the blocks. @param rows Of the blocks kept, ascending. */
export function pickBlocks(design: Design, rows: Int32Array): Design {
  const take = (column: Float64Array): Float64Array => Float64Array.from(rows, (i) => column[i]);
  return {
    ...design,
    count: rows.length,
    east: take(design.east),
    north: take(design.north),
    depth: take(design.depth),
    leg: rows.map((i) => design.leg[i]),
    noise: take(design.noise),
    gradientEast: take(design.gradientEast),
    gradientNorth: take(design.gradientNorth),
    wayEast: take(design.wayEast),
    wayNorth: take(design.wayNorth),
    ...(design.shape === undefined ? {} : { shape: take(design.shape) }),
  };
}

/** The same design once the gradient is known at every block. */
export function withGradient(
  design: Design,
  gradientEast: Float64Array,
  gradientNorth: Float64Array,
): Design {
  const bias = design.bias.map((b) => (b > LET_GO ? b : BIAS ** 2));
  return { ...design, gradientEast, gradientNorth, bias };
}

/**
 * Covariance of the errors of the first `n` blocks, m^2: lower triangle, row-major, `n` a row.
 *
 * It does not depend on how the bottom varies, so the search for that shares it.
 */
export function errorCovariance(design: Design, n: number): Float64Array {
  const { leg, noise, bias, gradientEast, gradientNorth, wayEast, wayNorth } = design;
  const out = new Float64Array(n * n);
  const lag = new Float64Array(n);
  for (let i = 0; i < n; i++) lag[i] = LAG * (gradientEast[i] * wayEast[i] + gradientNorth[i] * wayNorth[i]);
  const offset = OFFSET * OFFSET;
  for (let i = 0; i < n; i++) {
    const row = i * n;
    const p = leg[i];
    for (let j = 0; j <= i; j++) {
      let c = lag[i] * lag[j];
      if (leg[j] === p) {
        c += bias[p] + offset * (gradientEast[i] * gradientEast[j] + gradientNorth[i] * gradientNorth[j]);
      }
      out[row + j] = c;
    }
    out[row + i] += noise[i];
  }
  return out;
}

/** Covariance of the errors of two blocks, m^2; of one block with itself when `i` is `j`. */
export function errorBetween(design: Design, i: number, j: number): number {
  const { leg, noise, bias, gradientEast, gradientNorth, wayEast, wayNorth } = design;
  const lagI = gradientEast[i] * wayEast[i] + gradientNorth[i] * wayNorth[i];
  const lagJ = gradientEast[j] * wayEast[j] + gradientNorth[j] * wayNorth[j];
  let c = LAG * LAG * lagI * lagJ;
  if (leg[i] === leg[j]) {
    c +=
      bias[leg[i]] +
      OFFSET * OFFSET * (gradientEast[i] * gradientEast[j] + gradientNorth[i] * gradientNorth[j]);
  }
  return i === j ? c + noise[i] : c;
}
