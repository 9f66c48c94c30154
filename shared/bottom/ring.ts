import { CELL_SIZE, GRID_SIZE, HALF } from './lattice.ts';

const BEARINGS = 16;

/** Returns the mean of a lattice at 16 places on a circle around the waypoint. @param distance Radius, m. */
export function ringMean(lattice: Float64Array, distance: number): number {
  let sum = 0;
  for (let k = 0; k < BEARINGS; k++) {
    const bearing = (2 * Math.PI * k) / BEARINGS;
    sum += latticeAt(lattice, distance * Math.sin(bearing), distance * Math.cos(bearing));
  }
  return sum / BEARINGS;
}

/**
 * Returns the value of a lattice at a place, m from the waypoint, by bilinear interpolation. A place beyond
 * the edge gets the nearest edge value.
 */
export function latticeAt(lattice: ArrayLike<number>, east: number, north: number): number {
  const x = Math.max(0, Math.min(GRID_SIZE - 1.000001, east / CELL_SIZE + HALF));
  const y = Math.max(0, Math.min(GRID_SIZE - 1.000001, north / CELL_SIZE + HALF));
  const column = x | 0;
  const row = y | 0;
  const u = x - column;
  const v = y - row;
  const node = row * GRID_SIZE + column;
  return (
    (lattice[node] * (1 - u) + lattice[node + 1] * u) * (1 - v) +
    (lattice[node + GRID_SIZE] * (1 - u) + lattice[node + GRID_SIZE + 1] * u) * v
  );
}
