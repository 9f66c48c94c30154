import type { Design } from './design.ts';
import { CELL_SIZE, cubicAt, fillLattice, GRID_SIZE, HALF } from './lattice.ts';
import { meanAt, type ShapeAt } from './predict.ts';
import { type Fit, TREND } from './process.ts';

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
  return { lattice, at: (e, n) => cubicAt(lattice, e, n) };
}

/** The design with the coordinate of each block. */
export function withShape(design: Design, coordinate: ShapeCoordinate): Design {
  const shape = new Float64Array(design.count);
  for (let i = 0; i < design.count; i++) shape[i] = coordinate.at(design.east[i], design.north[i])[0];
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
