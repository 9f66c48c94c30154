import type { LakeBottom } from '../contract/index.ts';
import { type LocalFrame, localFrame } from '../geo/index.ts';
import type { Lattice } from './raster.ts';

/** Depth and its standard deviation at the nodes of a lattice on the ground, m; NaN where unknown. */
export interface GroundDepths extends GroundLattice {
  readonly depth: Float32Array;
  readonly sd: Float32Array;
}

/** Lattice with its position on the ground. */
export interface GroundLattice extends Lattice {
  readonly frame: LocalFrame;
  /** Direction of the first axis, rad from east toward north. */
  readonly axis: number;
  /** Position of node (0, 0) along the first axis from the frame's origin, m. */
  readonly x0: number;
  /** Position of node (0, 0) along the second axis from the frame's origin, m. */
  readonly y0: number;
}

/** Converts a lake to plain data. */
export function lakeBottom(
  grid: GroundLattice & Pick<LakeBottom, 'depth'>,
  lines: LakeBottom['lines'],
  areas: LakeBottom['areas'],
): LakeBottom {
  const { frame, axis, x0, y0, columns, rows, cell, depth } = grid;
  return { lat: frame.lat, lon: frame.lon, axis, x0, y0, columns, rows, cell, depth, lines, areas };
}

/** Restores the lattice from plain data. */
export const groundOf = ({ lat, lon, axis, x0, y0, columns, rows, cell }: LakeBottom): GroundLattice => ({
  frame: localFrame(lat, lon),
  axis,
  x0,
  y0,
  columns,
  rows,
  cell,
});

/** Converts a position in nodes from node (0, 0) to meters from the frame's origin. */
export function localOf(
  { axis, x0, y0, cell }: GroundLattice,
  x: number,
  y: number,
): [east: number, north: number] {
  const [along, across] = [x0 + x * cell, y0 + y * cell];
  const [c, s] = [Math.cos(axis), Math.sin(axis)];
  return [c * along - s * across, s * along + c * across];
}

/** Converts a place, deg, to a position in nodes from node (0, 0). */
export function nodeOf(ground: GroundLattice, lat: number, lon: number): [x: number, y: number] {
  const [east, north] = ground.frame.toLocal(lat, lon);
  const [c, s] = [Math.cos(ground.axis), Math.sin(ground.axis)];
  return [(c * east + s * north - ground.x0) / ground.cell, (c * north - s * east - ground.y0) / ground.cell];
}
