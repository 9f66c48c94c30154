import type { Bins } from './bins.ts';
import type { Lattice } from './raster.ts';

/** Largest lattice: 17 by 17 km at 5 m, about 1 GiB. */
const MOST_NODES = 12_000_000;

/** Bins in nodes of the lattice. */
export interface NodePlaces {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/** A lattice on the ground. */
export interface LaidLattice {
  readonly lattice: Lattice;
  /** Direction of the first axis, rad from east toward north. */
  readonly axis: number;
  /** Place of node (0, 0) along both axes from the frame's origin, m. */
  readonly x0: number;
  readonly y0: number;
  readonly nodes: NodePlaces;
}

/**
 * Lays a lattice along most of the track, over all bins and `reach` meters beyond.
 *
 * @param cell m between nodes.
 * @throws RangeError when it would have more than 12 million nodes.
 */
export function layLattice({ count, east, north }: Bins, cell: number, reach: number): LaidLattice {
  const axis = mainDirection(east, north);
  const [c, s] = [Math.cos(axis), Math.sin(axis)];
  const x = Float64Array.from({ length: count }, (_, k) => c * east[k] + s * north[k]);
  const y = Float64Array.from({ length: count }, (_, k) => c * north[k] - s * east[k]);
  const least = (values: Float64Array): number => values.reduce((a, b) => Math.min(a, b), Infinity);
  const most = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), -Infinity);
  const margin = reach + 2 * cell;
  const [x0, y0] = [least(x) - margin, least(y) - margin];
  const columns = Math.ceil((most(x) + margin - x0) / cell) + 1;
  const rows = Math.ceil((most(y) + margin - y0) / cell) + 1;
  if (columns * rows > MOST_NODES) throw new RangeError('The soundings span too much ground for one grid');
  const nodes = { x: x.map((value) => (value - x0) / cell), y: y.map((value) => (value - y0) / cell) };
  return { lattice: { columns, rows, cell }, axis, x0, y0, nodes };
}

/** Direction that most of the track runs in, either way, rad in (-pi/2, pi/2]. */
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

/** m from each node to the nearest bin; infinite beyond reach. */
export function nearestSounding(
  { columns, rows, cell }: Lattice,
  nodes: NodePlaces,
  reach: number,
): Float32Array {
  const distance = new Float32Array(columns * rows).fill(Number.POSITIVE_INFINITY);
  const span = reach / cell;
  for (let k = 0; k < nodes.x.length; k++) {
    const last = Math.min(rows - 1, Math.floor(nodes.y[k] + span));
    for (let y = Math.max(0, Math.ceil(nodes.y[k] - span)); y <= last; y++) {
      const dy = y - nodes.y[k];
      const half = Math.sqrt(Math.max(0, span * span - dy * dy));
      const to = Math.min(columns - 1, Math.floor(nodes.x[k] + half));
      for (let x = Math.max(0, Math.ceil(nodes.x[k] - half)); x <= to; x++) {
        const d = cell * Math.hypot(x - nodes.x[k], dy);
        if (d < distance[y * columns + x]) distance[y * columns + x] = d;
      }
    }
  }
  return distance;
}
