import { CLOSE_SPACING } from './blocked-soundings.ts';
import { type CovarianceParams, isotropic, likelihoodUnder } from './covariance.ts';
import { MATERN_52 } from './kernel.ts';
import { areCells, type Observations, pickObservations } from './observations.ts';

/**
 * Number of observations in a search: the nearest `near`, then every second observation, up to `all`.
 *
 * Noise and direction show close to the waypoint; range and sill show over several pass spacings. Skipping
 * every second outer observation lets the search reach farther, which lowers the depth error by 2 to 10 %.
 */
const SEARCHED = { all: 52, near: 28 };
/** As `SEARCHED`, for blocks along passes closer than `CLOSE_SPACING`: no observation is skipped. */
const SEARCHED_CLOSE = { all: 72, near: 72 };
/** Gain in log likelihood above which a direction is accepted. */
const DIRECTION_COST = 1;
/**
 * Gain in log likelihood above which `MATERN_52` is accepted. Without this cost, a pass with a depth error
 * becomes a ridge.
 */
const SMOOTH_COST = 2;
const DIRECTIONS = 6;
/**
 * At pass spacings below `CLOSE_SCALE` / 2, the scale of ranges is `CLOSE_SCALE` - spacing, at most
 * `MAX_CLOSE_SCALE`, m.
 */
const CLOSE_SCALE = 50;
const MAX_CLOSE_SCALE = 35;
const FIRST_RANGE = 1.6;
/** Minimum variance of depths about their plane, m^2: about the variance of noise alone. */
const MIN_SPREAD = 0.003;

export interface SearchAssumptions {
  /** Standard deviation of the trend's tilt, m/m. */
  readonly tilt: number;
  /** False where soundings lie on a line or on one side: only isotropic covariances are then tried. */
  readonly hasDirection: boolean;
}

export interface FoundCovariance {
  readonly params: CovarianceParams;
  /** Log likelihood of `params`, less `DIRECTION_COST` and `SMOOTH_COST` where they apply. */
  readonly score: number;
  /** First candidate tried: the usual range and sill, isotropic. */
  readonly first: CovarianceParams;
}

/**
 * Searches for the kernel, range, sill, nugget and direction of greatest likelihood near the origin.
 *
 * Depths stay alike much farther along structure than across structure. A direction found from the soundings
 * carries the shape of a ledge or ditch from one pass to the next.
 *
 * @param passSpacing m; decides the ranges tried and, with the kind of blocks, the observations used.
 * @returns undefined when every candidate is singular.
 */
export function findCovariance(
  all: Observations,
  passSpacing: number,
  { tilt, hasDirection }: SearchAssumptions,
): FoundCovariance | undefined {
  const { observations, likelihood } = searched(all, passSpacing);
  const spread = planeVariance(observations);
  // Forms do not become smaller as passes become closer.
  const scale = Math.max(passSpacing, Math.min(MAX_CLOSE_SCALE, CLOSE_SCALE - passSpacing));
  const first = isotropic(FIRST_RANGE * scale, spread, tilt);
  const search = new Search(likelihood, first);
  for (const q of [1, 0.2, 5]) search.try({ ...first, sill: q * spread });
  for (const r of [0.9, 3]) search.try({ ...first, range: r * scale, sill: search.params.sill });
  searchNugget(search);
  if (hasDirection) searchDirection(search);
  const start = search.params;
  for (const m of [0.7, 1.4]) search.try({ ...start, range: start.range * m });
  const ranged = search.params;
  for (const q of [0.5, 2]) search.try({ ...ranged, sill: ranged.sill * q });
  searchSmoothness(search);
  const { params, score } = search;
  return score > Number.NEGATIVE_INFINITY ? { params, score, first } : undefined;
}

/** Picks the observations for a search, and prepares their log likelihood as a function of the parameters. */
export function searched(
  all: Observations,
  passSpacing: number,
): { observations: Observations; likelihood: (params: CovarianceParams) => number } {
  const rows = searchedRows(all, passSpacing);
  const observations = pickObservations(all, rows);
  return { observations, likelihood: likelihoodUnder(observations) };
}

function searchedRows(observations: Observations, passSpacing: number): Int32Array {
  const { count } = observations;
  const { all, near } = passSpacing < CLOSE_SPACING && !areCells(observations) ? SEARCHED_CLOSE : SEARCHED;
  const rows: number[] = [];
  for (let i = 0; i < count && rows.length < all; i += rows.length < near ? 1 : 2) rows.push(i);
  return Int32Array.from(rows);
}

/** Tries `MATERN_52`, the smoother kernel. On even ground, its slope errors are a seventh smaller. */
function searchSmoothness(search: Search): void {
  const broken = search.params;
  for (const m of [0.7, 1]) search.try({ ...broken, kernel: MATERN_52, range: broken.range * m });
  const smooth = search.params;
  if (smooth.kernel === MATERN_52) for (const q of [0.5, 2]) search.try({ ...smooth, sill: smooth.sill * q });
}

/** Tries more noise than the soundings show, with the range found so far and with nearly twice that range. */
function searchNugget(search: Search): void {
  const start = search.params;
  for (const stretch of [1, 1.8]) search.try({ ...start, range: stretch * start.range, nugget: 4 });
  if (search.params.nugget > 1) search.try({ ...search.params, nugget: 16 });
}

/** Tries six directions. If the best one is promising, tries other ratios and directions 15 deg away. */
function searchDirection(search: Search): void {
  const start = search.params;
  const turn = (angle: number, ratio: number): CovarianceParams => ({
    ...start,
    ratio,
    cos: Math.cos(angle),
    sin: Math.sin(angle),
  });
  let best = Number.NEGATIVE_INFINITY;
  let bestAngle = 0;
  for (let k = 0; k < DIRECTIONS; k++) {
    const angle = (k * Math.PI) / DIRECTIONS;
    const score = search.try(turn(angle, 3));
    if (score > best) [best, bestAngle] = [score, angle];
  }
  if (best < search.score - DIRECTION_COST) return;
  const half = Math.PI / DIRECTIONS / 2;
  search.try(turn(bestAngle, 6));
  search.try(turn(bestAngle, 1.8));
  search.try(turn(bestAngle + half, 3));
  search.try(turn(bestAngle - half, 3));
}

class Search {
  score = Number.NEGATIVE_INFINITY;
  params: CovarianceParams;
  private readonly likelihood: (params: CovarianceParams) => number;

  constructor(likelihood: (params: CovarianceParams) => number, start: CovarianceParams) {
    this.likelihood = likelihood;
    this.params = start;
  }

  try(params: CovarianceParams): number {
    const cost = (params.ratio > 1 ? DIRECTION_COST : 0) + (params.kernel === MATERN_52 ? SMOOTH_COST : 0);
    const score = this.likelihood(params) - cost;
    if (score > this.score) {
      this.score = score;
      this.params = params;
    }
    return score;
  }
}

function planeVariance({ count: n, east, north, depth }: Observations): number {
  // Gram-Schmidt on (1, east, north).
  const columns = [new Float64Array(n).fill(1), east.slice(), north.slice()];
  const rest = depth.slice();
  columns.forEach((column, c) => {
    for (const earlier of columns.slice(0, c)) subtractProjection(column, earlier);
    subtractProjection(rest, column);
  });
  return Math.max(rest.reduce((sum, v) => sum + v * v, 0) / n, MIN_SPREAD);
}

function subtractProjection(column: Float64Array, base: Float64Array): void {
  let product = 0;
  let square = 0;
  for (let i = 0; i < base.length; i++) {
    product += column[i] * base[i];
    square += base[i] * base[i];
  }
  if (square < 1e-9) return;
  for (let i = 0; i < base.length; i++) column[i] -= (product / square) * base[i];
}
