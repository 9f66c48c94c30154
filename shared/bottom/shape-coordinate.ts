import { type CovarianceParams, likelihoodUnder } from './covariance.ts';
import type { GaussianProcess, ShapeAt } from './gaussian-process.ts';
import { CELL_SIZE, cubicAt, fillLattice, GRID_SIZE, HALF } from './lattice.ts';
import { type Observations, pickObservations } from './observations.ts';

/** Standard deviations of the structure's height that count as one range apart. */
const HEIGHTS_PER_RANGE = 2;
/** Least height that scales the coordinate, m: less relief than this cannot be told from noise. */
const MIN_HEIGHT = 0.1;

/**
 * A third coordinate for every place: its depth on a first surface, less the first surface's trend.
 *
 * Places of equal depth lie on one isobath, so blocks along a curved isobath become neighbors and blocks across a steep
 * face move apart: the second fit can change fast across a face and stay smooth on the shelf and the floor beside it.
 * The coordinate is a smooth function of place, so the covariance stays valid.
 */
export interface ShapeCoordinate {
  readonly lattice: Float64Array;
  at(east: number, north: number): ShapeAt;
}

/** Builds the coordinate from a first fit; its unit is one range of the second. */
export function makeShapeCoordinate(process: GaussianProcess): ShapeCoordinate {
  const lattice = fillLattice((east, north) => process.meanAt(east, north) - process.tiltAt(east, north));
  const scale = 1 / (HEIGHTS_PER_RANGE * Math.max(MIN_HEIGHT, innerSpread(lattice)));
  return fromLattice(lattice.map((height) => scale * height));
}

/** Factors tried on the coordinate, from none at all to more than usual. */
const STRENGTHS = [1, 0, 0.3, 0.6, 1.6];
/** Number of observations nearest the waypoint that decide the strength. */
const READ = 52;

/**
 * The coordinate at the strength under which the depths near the waypoint are likeliest.
 *
 * On even forms the coordinate only adds freedom and makes the slope less certain; at breaks it gains most.
 *
 * @param all Observations with the bottom's gradient at each.
 */
export function chooseStrength(
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

/** The observations with the shape coordinate of each. */
export const withShape = (observations: Observations, coordinate: ShapeCoordinate): Observations => ({
  ...observations,
  shape: observations.east.map((east, i) => coordinate.at(east, observations.north[i])[0]),
});

/** Standard deviation of the lattice within 54 m of the middle. */
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
