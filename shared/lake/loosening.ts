import { bilinear, gather } from '../math/index.ts';
import { binErrors } from './bin-errors.ts';
import type { Bins } from './bins.ts';
import type { LakeBending } from './lake-bending.ts';
import type { PlacedLattice } from './place-lattice.ts';

/** Side of the squares in which bins are left out, m: about as wide as usual gaps between passes. */
const SQUARE = 30;
/** Share of the left-out depths that must lie within their stated intervals. */
const INSIDE = 0.95;
/**
 * Half-width of the stated intervals, in standard deviations of seven draws. As wide as 1.96 standard
 * deviations of fifteen draws, because the quantiles of Student's t are 2.36 for seven and 2.13 for fifteen.
 */
const HALF_WIDTH = 2.175;
/** Exponent p in: variance of draws ~ (allowed bending)^p. Measured on simulated and on real terrain. */
const POWER = 0.9;
/** Least looseness: what smooth ground needs. */
const LEAST = 2 ** -1;
const MOST = 2 ** 4;
/** Steps per power of 2 to which the looseness is rounded, so that one more pass rarely changes it. */
const STEPS = 2;
/** Standard deviation of the part of a left-out depth's error that its neighbors do not share, m. */
const OWN_ERROR = 0.04;
/** With fewer left-out depths than this, the looseness stays at 1. */
const MIN_BINS = 40;

/** Bins that are kept, and bins left out to test how well the kept bins predict depths. */
export interface HeldOut {
  readonly kept: BinsOnLattice;
  readonly left: BinsOnLattice;
}

interface BinsOnLattice {
  readonly laid: PlacedLattice;
  readonly bins: Bins;
}

/** Leaves out the bins in a quarter of all squares: the squares in odd columns and odd rows. */
export function holdOut(laid: PlacedLattice, bins: Bins): HeldOut {
  const {
    nodes: { x, y },
    column0,
    row0,
    lattice: { cell },
  } = laid;
  const isOdd = (node: number): boolean => (Math.floor((node * cell) / SQUARE) & 1) === 1;
  const isLeft = (k: number): boolean => isOdd(x[k] + column0) && isOdd(y[k] + row0);
  const pick = (isPicked: (k: number) => boolean): BinsOnLattice => {
    const some = Int32Array.from(x.keys()).filter(isPicked);
    const of = (column: Float64Array): Float64Array => gather(column, some);
    const { east, north, depth, variance, pass } = bins;
    return {
      laid: { ...laid, nodes: { x: of(x), y: of(y) } },
      bins: {
        count: some.length,
        east: of(east),
        north: of(north),
        depth: of(depth),
        variance: of(variance),
        pass: some.map((k) => pass[k]),
      },
    };
  };
  return { kept: pick((k) => !isLeft(k)), left: pick(isLeft) };
}

/**
 * Finds how loose the sheet must be for 95 % of the left-out depths to lie within their stated intervals. The
 * share must hold for all left-out depths, and for the half where the bottom bends most, because marks are on
 * structure.
 *
 * @param bottoms Mean and draws made with looseness 1 from the kept depths.
 * @param bending Bending of these bottoms.
 * @returns Factor on the allowed bending, 0.5 to 16.
 */
export function findLooseness(
  { kept, left: out }: HeldOut,
  bottoms: readonly Float32Array[],
  bending: LakeBending,
): number {
  const {
    laid: { lattice, nodes },
    bins: { depth, pass },
  } = out;
  if (depth.length < MIN_BINS) return 1;
  const { uu, vv } = bending;
  const { shared } = binErrors(out.laid, out.bins, bending);
  const passErrors = bottoms.map((bottom) => passErrorsOn(kept, bottom, bending));
  const needed = depth.map((left, k) => {
    const [mean, ...draws] = bottoms.map(
      (bottom, draw) =>
        bilinear(lattice, bottom, nodes.x[k], nodes.y[k]) + shared[k] * (passErrors[draw].get(pass[k]) ?? 0),
    );
    const stated = draws.reduce((sum, draw) => sum + (draw - mean) ** 2, 0) / draws.length;
    return (((left - mean) / HALF_WIDTH) ** 2 - OWN_ERROR ** 2) / stated;
  });
  const bends = depth.map((_, k) => {
    const node = Math.round(nodes.y[k]) * lattice.columns + Math.round(nodes.x[k]);
    return uu[node] * vv[node];
  });
  const middle = bends.toSorted()[bends.length >> 1];
  const most = [needed, needed.filter((_, k) => bends[k] >= middle)].map(
    (some) => some.toSorted()[Math.floor(INSIDE * some.length)],
  );
  const factor = Math.max(LEAST, ...most) ** (1 / POWER);
  return Math.min(MOST, Math.max(LEAST, 2 ** (Math.round(STEPS * Math.log2(factor)) / STEPS)));
}

/** Estimates the error of each pass over a known bottom, in standard deviations (`BinErrors.shared`). */
function passErrorsOn(
  { laid, bins }: BinsOnLattice,
  bottom: Float32Array,
  bending: LakeBending,
): Map<number, number> {
  const { own, shared } = binErrors(laid, bins, bending);
  const sums = new Map<number, [product: number, square: number]>();
  for (let k = 0; k < bins.count; k++) {
    const [product, square] = sums.get(bins.pass[k]) ?? [0, 1];
    const error = bins.depth[k] - bilinear(laid.lattice, bottom, laid.nodes.x[k], laid.nodes.y[k]);
    const weight = shared[k] / own[k];
    sums.set(bins.pass[k], [product + weight * error, square + weight * shared[k]]);
  }
  return new Map([...sums].map(([pass, [product, square]]) => [pass, product / square]));
}
