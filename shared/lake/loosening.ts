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
 * Half-width of the stated intervals, in standard deviations of seven draws: 1.96 x 2.365 / 2.131, from the
 * 97.5 % quantiles of Student's t with 7 and 15 degrees of freedom. The grid has fifteen draws, and its
 * intervals reach 1.96 standard deviations of these draws.
 */
const HALF_WIDTH = 2.175;
/** Exponent p in: variance of draws ~ looseness^p. Measured on simulated and on real terrain. */
const POWER = 0.9;
/** Minimum looseness: enough for smooth ground. */
const MIN_LOOSENESS = 2 ** -1;
const MAX_LOOSENESS = 2 ** 4;
/** Number of steps per factor of 2 when the looseness is rounded, so that one more pass rarely changes it. */
const STEPS = 2;
/** Standard deviation of a left-out depth's own error, m, without the error of its pass. */
const OWN_ERROR = 0.04;
/** Minimum number of left-out depths; with fewer, the looseness stays at 1. */
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
 * @param bottoms Mean and draws, solved from the kept depths with `bending`.
 * @param bending Bending at looseness 1, for the lattice of the kept depths.
 * @returns Looseness (`loosen`), 0.5 to 16; 1 with fewer than `MIN_BINS` left-out depths.
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
  const factor = Math.max(MIN_LOOSENESS, ...most) ** (1 / POWER);
  return Math.min(
    MAX_LOOSENESS,
    Math.max(MIN_LOOSENESS, 2 ** (Math.round(STEPS * Math.log2(factor)) / STEPS)),
  );
}

/** Estimates the error of each pass, given a bottom, in standard deviations (`BinErrors.shared`). */
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
