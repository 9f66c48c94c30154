import type { LakeBottom } from '../contract/index.ts';
import { type LocalFrame, localFrame } from '../geo/index.ts';
import type { LakeArea } from './lake-areas.ts';
import type { LakeGrid } from './lake-grid.ts';
import type { LakeLine } from './lake-lines.ts';
import type { Lattice } from './raster.ts';

/** Depth on a lattice in its place, m, and its standard deviation: what layers and differences are made from. */
export interface GroundDepths extends GroundLattice {
  readonly depth: Float32Array;
  readonly sd: Float32Array;
}

/** A lattice in its place on the ground: what a lake grid has, or the plain data that was made from one. */
export interface GroundLattice extends Lattice {
  readonly frame: LocalFrame;
  /** Direction of the first axis, rad from east toward north. */
  readonly axis: number;
  /** Place of node (0, 0) along both axes from the frame's origin, m. */
  readonly x0: number;
  readonly y0: number;
}

/** The lake as plain data. */
export function lakeBottom(
  grid: LakeGrid,
  lines: readonly LakeLine[],
  areas: readonly LakeArea[],
): LakeBottom {
  const { frame, axis, x0, y0, columns, rows, cell, depth } = grid;
  return { lat: frame.lat, lon: frame.lon, axis, x0, y0, columns, rows, cell, depth, lines, areas };
}

/** The lattice of plain data. */
export const groundOf = ({ lat, lon, axis, x0, y0, columns, rows, cell }: LakeBottom): GroundLattice => ({
  frame: localFrame(lat, lon),
  axis,
  x0,
  y0,
  columns,
  rows,
  cell,
});

/** Place in nodes from node (0, 0) of a place on the ground. */
export function nodeOf(ground: GroundLattice, lat: number, lon: number): [x: number, y: number] {
  const [east, north] = ground.frame.toLocal(lat, lon);
  const [c, s] = [Math.cos(ground.axis), Math.sin(ground.axis)];
  return [(c * east + s * north - ground.x0) / ground.cell, (c * north - s * east - ground.y0) / ground.cell];
}
