import { type Design, errorCovariance, pickBlocks } from './design.ts';
import { type Kernel, matern32 } from './kernel.ts';
import { isotropic, likelihoodOf, makeFitRoom, type Variation } from './process.ts';

/** What a search looks at. */
export interface SearchEffort {
  /** Blocks from which the way of varying is read: the nearest `near`, then every second one further out. */
  readonly blocks: number;
  readonly near: number;
  /** True: as many blocks evenly out to the furthest, for bottoms that vary otherwise far out than near. */
  readonly isWide?: boolean;
  /** Kernels tried; a later one must be clearly likelier. */
  readonly kernels: readonly Kernel[];
}

/** Bottoms with breaks of slope: on real bottoms depth errors are a tenth smaller than with a choice of two. */
const BROKEN = matern32();
export const FULL_SEARCH: SearchEffort = { blocks: 52, near: 28, kernels: [BROKEN] };
/** Where passes are close, the kernel matters little, and more blocks must be seen to tell ground from noise. */
export const CLOSE_SEARCH: SearchEffort = { blocks: 72, near: 72, kernels: [BROKEN] };
/** Log likelihood that a direction must gain to be believed. */
const DIRECTION_COST = 1;
/** Log likelihood that breaks of slope must gain to be believed. */
const ROUGH_COST = 1;
const DIRECTIONS = 6;
/** Passes closer than 25 m do not make forms smaller: the ranges tried grow again below that, to this scale, m. */
const CLOSE_SCALE = 50;
const MOST_CLOSE_SCALE = 35;
/** Range tried first, in scales. */
const FIRST_RANGE = 1.6;

/**
 * Finds how the bottom varies near the origin: range, sill and direction of greatest restricted likelihood.
 *
 * Isobaths near structure run along it, so depths are alike much further along than across; a direction found from
 * the soundings themselves carries the shape of a ledge or ditch from one pass to the next.
 *
 * @param passSpacing m; sets the scale of the ranges tried.
 * @returns undefined when every candidate is singular.
 */
export const findVariation = (
  all: Design,
  passSpacing: number,
  effort: SearchEffort,
): Variation | undefined => searchVariation(all, passSpacing, effort)?.variation;

/** What a search found. */
export interface Found {
  readonly variation: Variation;
  /** Log likelihood less the cost of what it assumes. */
  readonly score: number;
  /** Variance of the depths about their plane, m^2. */
  readonly spread: number;
}

/** The same with its score. */
export function searchVariation(all: Design, passSpacing: number, effort: SearchEffort): Found | undefined {
  const design = pickBlocks(all, searchedRows(all.count, effort));
  const n = design.count;
  const errors = errorCovariance(design, n);
  const room = makeFitRoom(n);
  const spread = planeVariance(design, n);
  const likelihood = (variation: Variation) => likelihoodOf(design, n, variation, errors, room);
  const searches = effort.kernels.map((kernel) =>
    searchOne(kernel, searchScale(passSpacing), spread, likelihood),
  );
  const search = searches.reduce((best, other) => (other.score > best.score + ROUGH_COST ? other : best));
  const { score, variation } = search;
  return score > Number.NEGATIVE_INFINITY ? { variation, score, spread } : undefined;
}

/** The range first tried, m. */
export const searchScale = (passSpacing: number): number =>
  FIRST_RANGE * Math.max(passSpacing, Math.min(MOST_CLOSE_SCALE, CLOSE_SCALE - passSpacing));

/**
 * Rows of the blocks a search looks at.
 *
 * Range and sill show at distances of several passes, noise and direction in what is close: thinned further out, as many
 * blocks reach further at no cost (depth error down by 2 to 10 %).
 */
export function searchedRows(count: number, { blocks, near, isWide = false }: SearchEffort): Int32Array {
  const step = isWide ? Math.max(1, Math.ceil(count / blocks)) : 2;
  const rows: number[] = [];
  for (let i = 0; i < count && rows.length < blocks; i += rows.length < near ? 1 : step) rows.push(i);
  return Int32Array.from(rows);
}

/** The best way of varying by one kernel. @param first The range first tried, m. */
function searchOne(
  kernel: Kernel,
  first: number,
  spread: number,
  likelihood: (variation: Variation) => number | undefined,
): Search {
  const search = new Search(likelihood, isotropic(kernel, first, spread));
  for (const q of [1, 0.2, 5]) search.try(isotropic(kernel, first, q * spread));
  for (const r of [0.9, 3]) search.try(isotropic(kernel, (r / FIRST_RANGE) * first, search.variation.sill));
  searchNoise(search);
  searchDirection(search);
  const start = search.variation;
  for (const m of [0.7, 1.4]) search.try({ ...start, range: start.range * m });
  const ranged = search.variation;
  for (const q of [0.5, 2]) search.try({ ...ranged, sill: ranged.sill * q });
  return search;
}

/** Tries more noise than the soundings show, under a bottom that varies over the range found or over twice of it. */
function searchNoise(search: Search): void {
  const start = search.variation;
  for (const stretch of [1, 1.8]) search.try({ ...start, range: stretch * start.range, noise: 4 });
  if (search.variation.noise > 1) search.try({ ...search.variation, noise: 16 });
}

/** Tries six directions, then how far along and a finer direction round the best. */
function searchDirection(search: Search): void {
  const start = search.variation;
  const turn = (angle: number, ratio: number): Variation => ({
    ...start,
    ratio,
    cos: Math.cos(angle),
    sin: Math.sin(angle),
  });
  let best = Number.NEGATIVE_INFINITY;
  let bestAngle = 0;
  for (let k = 0; k < DIRECTIONS; k++) {
    const angle = (k * Math.PI) / DIRECTIONS;
    const likelihood = search.try(turn(angle, 3));
    if (likelihood > best) {
      best = likelihood;
      bestAngle = angle;
    }
  }
  if (best < search.score - DIRECTION_COST) return;
  const half = Math.PI / DIRECTIONS / 2;
  for (const [angle, ratio] of [
    [bestAngle, 6],
    [bestAngle, 1.8],
    [bestAngle + half, 3],
    [bestAngle - half, 3],
  ]) {
    search.try(turn(angle, ratio));
  }
}

const costOf = ({ ratio }: Variation): number => (ratio > 1 ? DIRECTION_COST : 0);

/** Keeps the best candidate so far. */
class Search {
  score = Number.NEGATIVE_INFINITY;
  variation: Variation;
  private readonly likelihood: (variation: Variation) => number | undefined;

  constructor(likelihood: (variation: Variation) => number | undefined, start: Variation) {
    this.likelihood = likelihood;
    this.variation = start;
  }

  /** Score of a candidate: its log likelihood less the cost of what it assumes. */
  try(variation: Variation): number {
    const score = (this.likelihood(variation) ?? Number.NEGATIVE_INFINITY) - costOf(variation);
    if (score > this.score) {
      this.score = score;
      this.variation = variation;
    }
    return score;
  }
}

/** Mean square of depths about their plane, m^2, not less than the noise can make it. */
export function planeVariance(design: Design, n: number): number {
  // Gram-Schmidt on (1, east, north).
  const columns = [new Float64Array(n).fill(1), design.east.slice(0, n), design.north.slice(0, n)];
  const rest = design.depth.slice(0, n);
  columns.forEach((column, c) => {
    for (const earlier of columns.slice(0, c)) subtract(column, earlier);
    subtract(rest, column);
  });
  return Math.max(rest.reduce((sum, v) => sum + v * v, 0) / n, 0.003);
}

/** Takes the part along `base` out of `column`. */
function subtract(column: Float64Array, base: Float64Array): void {
  let product = 0;
  let square = 0;
  for (let i = 0; i < base.length; i++) {
    product += column[i] * base[i];
    square += base[i] * base[i];
  }
  if (square < 1e-9) return;
  for (let i = 0; i < base.length; i++) column[i] -= (product / square) * base[i];
}
