import type { DepthGrid, Unseen } from '../contract/index.ts';
import { gather } from '../math/index.ts';
import type { BlockedSoundings } from './blocked-soundings.ts';
import { nearestBlock } from './blocks.ts';
import { calibrateDepth } from './calibration.ts';
import { mixtureOf, momentsOf } from './depth-mixture.ts';
import { GaussianProcess } from './gaussian-process.ts';
import { CELL_SIZE, fillCoarse, fillLattice, GRID_SIZE, gradientAt } from './lattice.ts';
import { type Observations, pickObservations } from './observations.ts';
import { roughnessOf, type Surface } from './surface.ts';

/** Correlation length of the grid's errors, divided by the lesser of covariance range and pass spacing. */
const ALIKE = 0.5;
const MIN_ALIKE = 8;

/** Models depths and standard deviations around a waypoint. @param level As `PriorKnowledge.levelSd`. */
export function gridAround(
  surface: Surface,
  { blocks, passSpacing }: BlockedSoundings,
  supported: Uint8Array,
  { unseen, level }: { readonly unseen?: Unseen; readonly level?: number },
): DepthGrid {
  const { process, coordinate } = surface;
  const rough = roughnessOf(surface);
  const own = fillCoarse((east, north, node) =>
    localDeviations(process, passSpacing, east, north, gather(coordinate.lattice, node)).map((sd) =>
      Math.hypot(calibrateDepth(sd, passSpacing), rough),
    ),
  );
  const depth = fillLattice((east, north, node) => process.meanAt(east, north, coordinate.lattice[node]));
  const sd = fillLattice((east, north, node) => {
    const hidden = unseen && {
      unseen,
      distance: nearestBlock(blocks, east, north),
      gradient: gradientAt(depth, node),
    };
    return momentsOf(mixtureOf(0, own[node], { hidden, level })).sd;
  });
  return {
    size: GRID_SIZE,
    cellSize: CELL_SIZE,
    depth,
    sd,
    supported,
    range: Math.max(MIN_ALIKE, ALIKE * Math.min(process.params.range, passSpacing)),
  };
}

/** Side of a square tile, m; all places in a tile use the same observations. */
const TILE = 72;
/** Width of the margin around the places of a tile within which observations are used, in pass spacings. */
const MARGIN = 1.5;
const MIN_MARGIN = 30;
/** Minimum number of observations in a tile and its margin; with fewer, all observations are used. */
const FEWEST = 20;
/** Maximum share of the observations in a tile and its margin; above it, all observations are used. */
const MOST = 0.65;

/**
 * Computes the standard deviation of the depth at each place, m, from the observations near the place's tile.
 *
 * Observations farther away hardly lower the standard deviation, and the cost of a place grows with the
 * square of the number of observations. Leaving observations out can only raise the standard deviation.
 *
 * @param east, north Position of each place, m from the waypoint.
 * @param shape Shape coordinate of each place (`surface.ts`).
 */
export function localDeviations(
  process: GaussianProcess,
  passSpacing: number,
  east: Float64Array,
  north: Float64Array,
  shape: Float64Array,
): Float64Array {
  const { observations, params } = process;
  const margin = Math.max(MIN_MARGIN, MARGIN * passSpacing);
  const tiles = new Map<number, number[]>();
  for (let k = 0; k < east.length; k++) {
    const tile = TILES * tileOf(north[k]) + tileOf(east[k]);
    const places = tiles.get(tile);
    if (places === undefined) tiles.set(tile, [k]);
    else places.push(k);
  }
  const out = new Float64Array(east.length);
  for (const places of tiles.values()) {
    const [atEast, atNorth, atShape] = [east, north, shape].map((column) => gather(column, places));
    const rows = rowsNear(observations, atEast, atNorth, margin);
    const near =
      rows.length < FEWEST || rows.length > MOST * observations.count
        ? process
        : (GaussianProcess.fit(pickObservations(observations, rows), params) ?? process);
    near.deviationsAt(atEast, atNorth, atShape).forEach((sd, k) => {
      out[places[k]] = sd;
    });
  }
  return out;
}

/** Factor in the key of a tile: larger than the number of tiles on a side, so that keys are distinct. */
const TILES = 64;

const tileOf = (offset: number): number => Math.round(offset / TILE);

function rowsNear(
  { count, east, north }: Observations,
  atEast: Float64Array,
  atNorth: Float64Array,
  margin: number,
): Int32Array {
  const [west, right] = [Math.min(...atEast) - margin, Math.max(...atEast) + margin];
  const [south, top] = [Math.min(...atNorth) - margin, Math.max(...atNorth) + margin];
  const rows = new Int32Array(count);
  let found = 0;
  for (let i = 0; i < count; i++)
    if (east[i] >= west && east[i] <= right && north[i] >= south && north[i] <= top) rows[found++] = i;
  return rows.subarray(0, found);
}
