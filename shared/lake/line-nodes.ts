import { type LineKind, METERS_PER } from '../contract/index.ts';
import { bilinear } from '../math/index.ts';
import type { Terrain } from './terrain.ts';

/** Nodes on each kind of line: 1 on it, 0 off it. */
export type LineNodes = Readonly<Record<LineKind, Uint8Array>>;

/** Distance above and below a lip or foot at which slopes are compared, m, and their least difference, deg. */
const BREAK_REACH = 12;
const LEAST_BREAK = 4;
/** Least bend at the edge itself, 1/m: half the mean bend at the least difference in slope. */
const LEAST_BEND = Math.tan((LEAST_BREAK * Math.PI) / 180) / (4 * BREAK_REACH);
/** Least drop below a lip (or rise above a foot), m, and the distance in which it must occur, m. */
const LEAST_DROP = 2 * METERS_PER.ft;
const DROP_REACH = 25;
/** Greatest distance of a node from the axis of a crest or thalweg, m. */
const AXIS_REACH = 3;
/** Least drop from a crest on both sides, and on one of them, m, and the distance in which they must occur, m. */
const LEAST_BOTH = METERS_PER.ft;
const LEAST_ONE = 2 * METERS_PER.ft;
const SIDE_REACH = 30;
/** Greatest distance at which the bottom affects a node, m, without the neighbors needed for the slope there. */
export const LINE_REACH = Math.max(BREAK_REACH, DROP_REACH, SIDE_REACH);

/** Finds the nodes of a bottom that lie on its lines. @param near If given, only nodes with a 1 are checked. */
export function findLineNodes(terrain: Terrain, near?: Uint8Array): LineNodes {
  const size = terrain.columns * terrain.rows;
  const found = {
    lip: new Uint8Array(size),
    foot: new Uint8Array(size),
    crest: new Uint8Array(size),
    thalweg: new Uint8Array(size),
  };
  for (let k = 0; k < size; k++) {
    if (near?.[k] === 0 || Number.isNaN(terrain.depth[k]) || Number.isNaN(terrain.xx[k])) continue;
    const [x, y] = [k % terrain.columns, Math.floor(k / terrain.columns)];
    const edge = edgeAt(terrain, k, x, y);
    if (edge !== undefined) found[edge][k] = 1;
    const axis = axisAt(terrain, k, x, y);
    if (axis !== undefined) found[axis][k] = 1;
  }
  return found;
}

const degrees = (slope: number): number => (Math.atan(slope) * 180) / Math.PI;

/** Finds a lip or foot, where the bottom bends most along the fall line between a gentler and a steeper slope. */
function edgeAt(terrain: Terrain, k: number, x: number, y: number): 'lip' | 'foot' | undefined {
  const { gx, gy, depth, cell } = terrain;
  const slope = Math.sqrt(gx[k] ** 2 + gy[k] ** 2);
  if (slope < 1e-6) return undefined;
  const fx = gx[k] / slope;
  const fy = gy[k] / slope;
  const bend = fx * fx * terrain.xx[k] + 2 * fx * fy * terrain.xy[k] + fy * fy * terrain.yy[k];
  // Most of the bottom bends far less than the mean bend at an edge.
  if (Math.abs(bend) < LEAST_BEND) return undefined;
  const at = (values: Float64Array, meters: number): number =>
    bilinear(terrain, values, x + (fx * meters) / cell, y + (fy * meters) / cell);
  const slopeAt = (meters: number): number => fx * at(gx, meters) + fy * at(gy, meters);
  const change = degrees(slopeAt(BREAK_REACH)) - degrees(slopeAt(-BREAK_REACH));
  if (!(Math.abs(change) >= LEAST_BREAK)) return undefined;
  const bendAt = (meters: number): number =>
    fx * fx * at(terrain.xx, meters) +
    2 * fx * fy * at(terrain.xy, meters) +
    fy * fy * at(terrain.yy, meters);
  const sign = Math.sign(change);
  if (!(sign * bend > sign * bendAt(-cell) && sign * bend >= sign * bendAt(cell))) return undefined;
  if (change > 0) return at(depth, DROP_REACH) - depth[k] >= LEAST_DROP ? 'lip' : undefined;
  return depth[k] - at(depth, -DROP_REACH) >= LEAST_DROP ? 'foot' : undefined;
}

/**
 * Finds a crest or thalweg, where the bottom is level across the direction of its strongest bend and falls (rises) on
 * both sides.
 */
function axisAt(terrain: Terrain, k: number, x: number, y: number): 'crest' | 'thalweg' | undefined {
  const { xx, xy, yy, gx, gy, cell } = terrain;
  const mean = (xx[k] + yy[k]) / 2;
  const difference = Math.sqrt(((xx[k] - yy[k]) / 2) ** 2 + xy[k] ** 2);
  const bend = mean >= 0 ? mean + difference : mean - difference;
  // Also excludes unknown values at the rim.
  if (!(Math.abs(bend) >= 1e-6)) return undefined;
  // Eigenvector of the Hessian for the stronger bend, in the longer of its two forms.
  const isFirst = Math.abs(bend - xx[k]) > Math.abs(bend - yy[k]);
  const [ex, ey] = isFirst ? [xy[k], bend - xx[k]] : [bend - yy[k], xy[k]];
  const length = Math.sqrt(ex * ex + ey * ey);
  const [wx, wy] = length > 0 ? [ex / length, ey / length] : [1, 0];
  if (Math.abs((wx * gx[k] + wy * gy[k]) / bend) > AXIS_REACH) return undefined;
  const sign = Math.sign(bend);
  const fall = (side: 1 | -1): number => {
    let most = 0;
    for (let meters = cell; meters <= SIDE_REACH; meters += cell) {
      const there = bilinear(
        terrain,
        terrain.depth,
        x + (side * wx * meters) / cell,
        y + (side * wy * meters) / cell,
      );
      if (Number.isNaN(there)) break;
      most = Math.max(most, sign * (there - terrain.depth[k]));
    }
    return most;
  };
  const one = fall(1);
  if (one < LEAST_BOTH) return undefined;
  const other = fall(-1);
  if (other < LEAST_BOTH || Math.max(one, other) < LEAST_ONE) return undefined;
  return sign > 0 ? 'crest' : 'thalweg';
}
