import { medianOf } from '../math/index.ts';
import type { BlockedSoundings } from './blocked-soundings.ts';
import { type CovarianceParams, likelihoodUnder, ONE_SIDED_TILT, TILT } from './covariance.ts';
import {
  type FoundCovariance,
  findCovariance,
  type SearchAssumptions,
  searched,
} from './covariance-search.ts';
import {
  GaussianProcess,
  LEG_OUTLIER,
  outlyingBias,
  type Posterior,
  type ShapeAt,
} from './gaussian-process.ts';
import { CELL_SIZE, cubicAt, fillLattice, GRID_SIZE, HALF } from './lattice.ts';
import {
  areCells,
  makeObservations,
  type Observations,
  pickObservations,
  withGradient,
} from './observations.ts';

const MIN_BLOCKS = 6;

/** The fitted bottom around a waypoint, in east and north meters from the waypoint. */
export interface Surface {
  /** The second fit (`fitSurface`). To predict at a place, it needs the value of `coordinate` there. */
  readonly process: GaussianProcess;
  readonly coordinate: ShapeCoordinate;
}

const SURROUNDED: SearchAssumptions = { tilt: TILT, hasDirection: true };
const ONE_SIDED: SearchAssumptions = { tilt: ONE_SIDED_TILT, hasDirection: false };

/**
 * Fits the bottom around the origin.
 *
 * A search finds the covariance. A first fit gives the shape coordinate and the bottom's gradient at every
 * block, from which the effect of position offsets follows. A second fit uses both.
 *
 * @param isOneSided True where soundings lie on a line or on one side: the fit then takes no direction from
 * the soundings and stays close to level beyond them.
 * @returns undefined with fewer than 6 blocks, or when they do not determine a surface.
 */
export function fitSurface(
  { blocks, passSpacing }: Pick<BlockedSoundings, 'blocks' | 'passSpacing'>,
  isOneSided = false,
): Surface | undefined {
  if (blocks.count < MIN_BLOCKS) return undefined;
  const first = fitRobustly(makeObservations(blocks), passSpacing, isOneSided ? ONE_SIDED : SURROUNDED);
  if (first === undefined) return undefined;
  const { east, north } = first.gradientsAtObservations();
  const observations = withGradient(first.observations, east, north);
  const usual = makeShapeCoordinate(first);
  const coordinate = chooseStrength(observations, first.params, usual);
  const process = GaussianProcess.fit(withShape(observations, coordinate), first.params);
  return process && { process, coordinate };
}

/** Fits a process, with more noise for outliers and more bias for outlying legs; undefined on failure. */
export function fitRobustly(
  all: Observations,
  passSpacing: number,
  assumptions: SearchAssumptions = SURROUNDED,
): GaussianProcess | undefined {
  const found = findCovariance(all, passSpacing, assumptions);
  if (found === undefined) return undefined;
  const without = withoutOutlyingLeg(all, passSpacing, assumptions, found);
  const { params } = (without && findCovariance(without, passSpacing, assumptions)) ?? found;
  const fit = GaussianProcess.fit(without ?? all, params);
  const inflated = fit?.withInflatedNoise();
  return inflated === fit?.observations ? fit : ((inflated && GaussianProcess.fit(inflated, params)) ?? fit);
}

/** Standard deviation added in quadrature to every leg's depth bias when searching for an outlying leg, m. */
const WIDE_BIAS = 0.3;
/** Gain in log likelihood above which wide biases are accepted. */
const WIDE_COST = 4;
/**
 * Pass spacing beyond which `WIDE_COST` grows with the spacing, m: the farther apart two passes are, the more
 * a face between them looks like an outlying leg.
 */
const WIDE_SPACING = 14;
/** Pass spacing beyond which a face and an outlying leg cannot be told apart, m. */
const MAX_SPACING = 35;

/**
 * Finds the most outlying leg, and raises the variance of its bias so far that the leg hardly counts.
 *
 * A search with the usual biases explains a wrong leg by a range shorter than the pass spacing, and then no
 * leg stands out from the surface. So the search is repeated with wide biases, but only if wide biases lift
 * the log likelihood of the covariance found, or of the first candidate, above the score found.
 *
 * @param found Result of the search with the usual biases.
 * @returns undefined when no outlying leg is found.
 */
function withoutOutlyingLeg(
  all: Observations,
  passSpacing: number,
  assumptions: SearchAssumptions,
  found: FoundCovariance,
): Observations | undefined {
  if (passSpacing > MAX_SPACING || all.bias.length < 2 || areCells(all)) return undefined;
  const wide = { ...all, bias: all.bias.map((bias) => bias + WIDE_BIAS ** 2) };
  const { likelihood } = searched(wide, passSpacing);
  if (![found.params, found.first].some((params) => likelihood(params) > found.score)) return undefined;
  const other = findCovariance(wide, passSpacing, assumptions);
  const cost = WIDE_COST * Math.max(1, passSpacing / WIDE_SPACING);
  if (other === undefined || other.score <= found.score + cost) return undefined;
  const errors = GaussianProcess.fit(wide, other.params)?.legErrors().map(Math.abs);
  if (errors === undefined) return undefined;
  const furthest = errors.indexOf(Math.max(...errors));
  if (errors[furthest] <= LEG_OUTLIER * Math.sqrt(all.bias[furthest])) return undefined;
  return {
    ...all,
    bias: all.bias.map((bias, leg) => (leg === furthest ? outlyingBias(errors[leg]) : bias)),
  };
}

export const atWaypoint = ({ process, coordinate }: Surface): Posterior =>
  process.posteriorAt(0, 0, coordinate.at(0, 0));

/** Number of nearest observations whose median noise counts as the noise at the waypoint. */
const USUAL = 15;

/** Returns the standard deviation of roughness that the fit cannot follow, m: noise due to the nugget. */
export const roughnessOf = ({ process: { observations, params } }: Pick<Surface, 'process'>): number =>
  Math.sqrt((params.nugget - 1) * medianOf(observations.noise.slice(0, USUAL)));

/** Difference in depth (less tilt) that counts like one range, in standard deviations of these depths. */
const HEIGHTS_PER_RANGE = 2;
/** Minimum standard deviation of depths that the coordinate is scaled by, m: less relief may be noise. */
const MIN_HEIGHT = 0.1;

/**
 * Third coordinate of places: the depth in the first fit, less the trend's tilt, scaled so that a difference
 * of 1 counts like a distance of one covariance range.
 *
 * With this coordinate, blocks along a curved isobath become neighbors, and blocks across a steep face move
 * apart. The second fit can then change fast across a face and stay smooth on the shelf and the floor beside
 * the face. The coordinate is a function of position, so the covariance stays positive definite.
 */
interface ShapeCoordinate {
  readonly lattice: Float64Array;
  at(east: number, north: number): ShapeAt;
}

function makeShapeCoordinate(process: GaussianProcess): ShapeCoordinate {
  const lattice = fillLattice((east, north) => process.meanAt(east, north) - process.tiltAt(east, north));
  const scale = 1 / (HEIGHTS_PER_RANGE * Math.max(MIN_HEIGHT, innerSpread(lattice)));
  return fromLattice(lattice.map((height) => scale * height));
}

/** Factors tried on the coordinate: 0 leaves it out, 1 is the usual strength. */
const STRENGTHS = [1, 0, 0.3, 0.6, 1.6];
/** Number of observations nearest the waypoint that decide the strength. */
const READ = 52;

/**
 * Scales the coordinate to the strength under which the depths near the waypoint are likeliest.
 *
 * The coordinate helps most at breaks of slope. On even forms it only makes the slope less certain.
 *
 * @param all Observations with the gradients of the first fit.
 */
function chooseStrength(
  all: Observations,
  params: CovarianceParams,
  coordinate: ShapeCoordinate,
): ShapeCoordinate {
  const picked = pickObservations(
    all,
    Int32Array.from({ length: Math.min(READ, all.count) }, (_, i) => i),
  );
  const near = withShape(picked, coordinate);
  const likelihoodOf = likelihoodUnder(near);
  let best = 1;
  let most = Number.NEGATIVE_INFINITY;
  for (const strength of STRENGTHS) {
    const likelihood = likelihoodOf(
      params,
      near.shape?.map((z) => strength * z),
    );
    if (likelihood <= most) continue;
    most = likelihood;
    best = strength;
  }
  return best === 1 ? coordinate : fromLattice(coordinate.lattice.map((z) => best * z));
}

const fromLattice = (lattice: Float64Array): ShapeCoordinate => ({
  lattice,
  at: (e, n) => cubicAt(lattice, e, n),
});

const withShape = (observations: Observations, coordinate: ShapeCoordinate): Observations => ({
  ...observations,
  shape: observations.east.map((east, i) => coordinate.at(east, observations.north[i])[0]),
});

function innerSpread(lattice: Float64Array): number {
  const reach = Math.round(54 / CELL_SIZE);
  let count = 0;
  let sum = 0;
  let squares = 0;
  for (let row = HALF - reach; row <= HALF + reach; row++) {
    for (let column = HALF - reach; column <= HALF + reach; column++) {
      const z = lattice[row * GRID_SIZE + column];
      count++;
      sum += z;
      squares += z * z;
    }
  }
  return Math.sqrt(Math.max(0, squares / count - (sum / count) ** 2));
}
