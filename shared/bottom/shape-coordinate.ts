import { type Design, errorCovariance } from './design.ts';
import { CELL_SIZE, cubicAt, fillLattice, GRID_SIZE, HALF } from './lattice.ts';
import { meanAt, type ShapeAt } from './predict.ts';
import { type Fit, likelihoodOf, makeFitRoom, TREND, type Variation } from './process.ts';

/** Standard deviations of the structure's height that count as one range apart. */
const HEIGHTS_PER_RANGE = 2;
/** m; bottoms with less shape than this have none that is known. */
const LEAST_HEIGHT = 0.1;

/**
 * A third coordinate for every place: its depth on a first surface, less the first surface's trend.
 *
 * Depths alike lie on one isobath, so blocks along a curved isobath become neighbors and blocks across a steep face
 * move apart: the second fit may change fast across a face and stay smooth on the shelf and the floor beside it.
 * The coordinate is a smooth function of place, so the covariance stays valid.
 */
export interface ShapeCoordinate {
  readonly lattice: Float64Array;
  at(east: number, north: number): ShapeAt;
}

/** Builds the coordinate from the first fit; its unit is one range of the second. */
export function makeShapeCoordinate(fit: Fit): ShapeCoordinate {
  const [, east, north] = fit.coefficients;
  const lattice = fillLattice((e, n) => meanAt(fit, e, n) - (east * e + north * n) / TREND);
  const scale = 1 / (HEIGHTS_PER_RANGE * Math.max(LEAST_HEIGHT, innerSpread(lattice)));
  for (let i = 0; i < lattice.length; i++) lattice[i] *= scale;
  return fromLattice(lattice);
}

/** Strengths of the coordinate tried: none at all to more than usual. */
const STRENGTHS = [1, 0, 0.3, 0.6, 1.6];
/** Blocks nearest the waypoint from which the strength is read. */
const READ_BLOCKS = 52;

/**
 * The coordinate at the strength under which the depths near the waypoint are likeliest.
 *
 * On even forms it only adds freedom, and their slope comes out less certain; on breaks it gains most.
 *
 * @param design With the bottom's gradient at every block.
 */
export function chooseStrength(
  design: Design,
  variation: Variation,
  coordinate: ShapeCoordinate,
): ShapeCoordinate {
  const n = Math.min(READ_BLOCKS, design.count);
  const errors = errorCovariance(design, n);
  const room = makeFitRoom(n);
  let best = coordinate;
  let most = Number.NEGATIVE_INFINITY;
  for (const strength of STRENGTHS) {
    const scaled = strength === 1 ? coordinate : fromLattice(coordinate.lattice.map((z) => strength * z));
    const likelihood = likelihoodOf(withShape(design, scaled, n), n, variation, errors, room);
    if (likelihood === undefined || likelihood <= most) continue;
    most = likelihood;
    best = scaled;
  }
  return best;
}

const fromLattice = (lattice: Float64Array): ShapeCoordinate => ({
  lattice,
  at: (e, n) => cubicAt(lattice, e, n),
});

/** The design with the coordinate of each of the first `count` blocks. */
export function withShape(design: Design, coordinate: ShapeCoordinate, count = design.count): Design {
  const shape = new Float64Array(count);
  for (let i = 0; i < count; i++) shape[i] = coordinate.at(design.east[i], design.north[i])[0];
  return { ...design, shape };
}

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
