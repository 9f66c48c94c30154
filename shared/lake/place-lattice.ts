import type { Soundings } from '../contract/index.ts';
import { type LocalFrame, localFrame, wrapLongitude } from '../geo/index.ts';
import type { Bins } from './bins.ts';
import type { Lattice } from './raster.ts';

/** Maximum number of nodes of a lattice: 17 by 17 km at 5 m, with about 1 GiB of memory. */
const MAX_NODES = 12_000_000;

/** Positions of bins on the lattice, in nodes. */
export interface NodePlaces {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/** Part of an infinite lattice that rarely moves on the ground when more is sounded. */
export interface PlacedLattice {
  readonly lattice: Lattice;
  /** Direction of the first axis, rad from east toward north. */
  readonly axis: number;
  /** Column of node (0, 0) in the infinite lattice, whose own node (0, 0) is the frame's origin. */
  readonly column0: number;
  /** Row of node (0, 0) in the infinite lattice. */
  readonly row0: number;
  readonly nodes: NodePlaces;
}

/** Step to which the lattice's direction is rounded, rad, so that one more pass rarely turns the lattice. */
const AXIS_STEP = Math.PI / 36;

/**
 * Lays a lattice with its first axis along most of the track. The lattice covers all ground within `reach`
 * meters of any bin.
 *
 * @param cell Node spacing, m.
 * @throws RangeError when the lattice would have more than 12 million nodes.
 */
export function placeLattice({ count, east, north }: Bins, cell: number, reach: number): PlacedLattice {
  const axis = AXIS_STEP * Math.round(mainDirection(east, north) / AXIS_STEP);
  const [c, s] = [Math.cos(axis), Math.sin(axis)];
  const x = Float64Array.from({ length: count }, (_, k) => (c * east[k] + s * north[k]) / cell);
  const y = Float64Array.from({ length: count }, (_, k) => (c * north[k] - s * east[k]) / cell);
  const least = (values: Float64Array): number => values.reduce((a, b) => Math.min(a, b), Infinity);
  const most = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), -Infinity);
  const margin = reach / cell + 2;
  const [column0, row0] = [x, y].map((values) => 2 * Math.floor((least(values) - margin) / 2));
  const columns = Math.ceil(most(x) + margin - column0) + 1;
  const rows = Math.ceil(most(y) + margin - row0) + 1;
  if (columns * rows > MAX_NODES) throw new RangeError('The soundings span too much ground for one grid');
  const nodes = { x: x.map((value) => value - column0), y: y.map((value) => value - row0) };
  return { lattice: { columns, rows, cell }, axis, column0, row0, nodes };
}

/** Converts a lattice to twice the node spacing: every other node on both axes. */
export function coarsen({ lattice, axis, column0, row0, nodes }: PlacedLattice): PlacedLattice {
  return {
    lattice: {
      columns: (lattice.columns >> 1) + 1,
      rows: (lattice.rows >> 1) + 1,
      cell: 2 * lattice.cell,
    },
    axis,
    column0: column0 / 2,
    row0: row0 / 2,
    nodes: { x: nodes.x.map((value) => value / 2), y: nodes.y.map((value) => value / 2) },
  };
}

const ANCHORS = 10;

/**
 * Returns a frame with an origin southwest of all soundings. The origin is rounded down to 0.1 deg, so it
 * rarely moves when more is sounded. The order of the soundings does not matter.
 */
export function anchoredFrame({ count, lat, lon }: Pick<Soundings, 'count' | 'lat' | 'lon'>): LocalFrame {
  let [south, west] = [Number.POSITIVE_INFINITY, 0];
  for (let k = 0; k < count; k++) {
    south = Math.min(south, lat[k]);
    west = Math.min(west, wrapLongitude(lon[k] - lon[0]));
  }
  const anchor = (degrees: number): number => Math.floor(degrees * ANCHORS) / ANCHORS;
  return localFrame(anchor(south), anchor(lon[0] + west));
}

/** Finds the axis along which most of the track runs, rad in (-pi/2, pi/2]. */
function mainDirection(east: Float64Array, north: Float64Array): number {
  let [cos2, sin2] = [0, 0];
  for (let k = 1; k < east.length; k++) {
    const [dx, dy] = [east[k] - east[k - 1], north[k] - north[k - 1]];
    const step = Math.hypot(dx, dy);
    if (step === 0 || step > 15) continue;
    cos2 += (dx * dx - dy * dy) / step;
    sin2 += (2 * dx * dy) / step;
  }
  return Math.atan2(sin2, cos2) / 2;
}

/** Computes the distance from each node to the nearest bin, m; infinite beyond `reach`, m. */
export function nearestSounding(
  { columns, rows, cell }: Lattice,
  nodes: NodePlaces,
  reach: number,
): Float32Array {
  // Holds squared distances in nodes until the last loop.
  const distance = new Float32Array(columns * rows).fill(Number.POSITIVE_INFINITY);
  const span = reach / cell;
  for (let k = 0; k < nodes.x.length; k++) {
    const last = Math.min(rows - 1, Math.floor(nodes.y[k] + span));
    for (let y = Math.max(0, Math.ceil(nodes.y[k] - span)); y <= last; y++) {
      const dy = y - nodes.y[k];
      const half = Math.sqrt(Math.max(0, span * span - dy * dy));
      const to = Math.min(columns - 1, Math.floor(nodes.x[k] + half));
      for (let x = Math.max(0, Math.ceil(nodes.x[k] - half)); x <= to; x++) {
        const dx = x - nodes.x[k];
        const square = dx * dx + dy * dy;
        if (square < distance[y * columns + x]) distance[y * columns + x] = square;
      }
    }
  }
  for (let k = 0; k < distance.length; k++) distance[k] = cell * Math.sqrt(distance[k]);
  return distance;
}
