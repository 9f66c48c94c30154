import { LINE_KINDS, type LineKind, METERS_PER } from '../contract/index.ts';
import { bilinear } from '../math/index.ts';
import type { Terrain } from './terrain.ts';

/** For each kind of line, 1 at the nodes on a line and 0 at all others. */
export type LineNodes = Readonly<Record<LineKind, Uint8Array>>;

/** Distance above and below a lip or foot at which slopes are compared, m. */
const BREAK_REACH = 12;
/** Minimum difference between the slopes above and below a lip or foot, deg. */
const MIN_BREAK = 4;
/**
 * Minimum magnitude of the second derivative at a lip or foot, 1/m: half of the mean across a break of
 * `MIN_BREAK`.
 */
const MIN_BEND = Math.tan((MIN_BREAK * Math.PI) / 180) / (4 * BREAK_REACH);
/** Minimum slope of ground that has a fall line, m/m. */
const MIN_SLOPE = 1e-6;
/** Minimum drop below a lip (or rise above a foot), m. */
const MIN_DROP = 2 * METERS_PER.ft;
/** Distance from the lip or foot at which the drop or rise is measured, m. */
const DROP_REACH = 25;
/** Maximum distance of a node from the axis of a crest or thalweg, m. */
const AXIS_REACH = 3;
/** Minimum drop from a crest (or rise from a thalweg) on both sides, m. */
const MIN_BOTH = METERS_PER.ft;
/** Minimum of the larger of the two drops from a crest (or rises from a thalweg), m. */
const MIN_ONE = 2 * METERS_PER.ft;
/** Distance from a crest or thalweg within which the bottom must drop or rise, m. */
const SIDE_REACH = 30;
/** Maximum distance from a node at which depths and slopes decide whether the node is on a line, m. */
export const LINE_REACH = Math.max(BREAK_REACH, DROP_REACH, SIDE_REACH);

export function findLineNodes(terrain: Terrain): LineNodes {
  const size = terrain.columns * terrain.rows;
  const found = {
    lip: new Uint8Array(size),
    foot: new Uint8Array(size),
    crest: new Uint8Array(size),
    thalweg: new Uint8Array(size),
  };
  for (let k = 0; k < size; k++) {
    const edge = edgeAt(terrain, k);
    if (edge !== undefined) found[edge][k] = 1;
    const axis = axisAt(terrain, k);
    if (axis !== undefined) found[axis][k] = 1;
  }
  return found;
}

/** Returns a function that tells whether a node is on a line of a kind, and that remembers its results. */
export function lineNodeFinder(terrain: Terrain): (kind: LineKind, node: number) => boolean {
  const size = terrain.columns * terrain.rows;
  const [edges, axes] = [new Uint8Array(size), new Uint8Array(size)];
  return (kind, node) => {
    const isEdge = kind === 'lip' || kind === 'foot';
    const seen = isEdge ? edges : axes;
    if (seen[node] === UNSEEN) {
      const found = isEdge ? edgeAt(terrain, node) : axisAt(terrain, node);
      seen[node] = found === undefined ? NO_LINE : SEEN + LINE_KINDS.indexOf(found);
    }
    return seen[node] === SEEN + LINE_KINDS.indexOf(kind);
  };
}

/** State of a node: not examined, on no line, or `SEEN` plus the index of its line in `LINE_KINDS`. */
const [UNSEEN, NO_LINE, SEEN] = [0, 1, 2];

const degrees = (slope: number): number => (Math.atan(slope) * 180) / Math.PI;

/** Returns the second derivative along the unit vector (`fx`, `fy`) at a place in nodes, 1/m. */
const bendAt = (terrain: Terrain, x: number, y: number, fx: number, fy: number): number =>
  fx * fx * bilinear(terrain, terrain.xx, x, y) +
  2 * fx * fy * bilinear(terrain, terrain.xy, x, y) +
  fy * fy * bilinear(terrain, terrain.yy, x, y);

/**
 * Returns `lip` or `foot` for a node on such a line. Along the fall line, the second derivative has an
 * extreme there, and the bottom becomes steeper (lip) or gentler (foot).
 */
function edgeAt(terrain: Terrain, k: number): 'lip' | 'foot' | undefined {
  const { gx, gy, depth, cell } = terrain;
  const slope = Math.sqrt(gx[k] ** 2 + gy[k] ** 2);
  if (slope < MIN_SLOPE) return undefined;
  const fx = gx[k] / slope;
  const fy = gy[k] / slope;
  const bend = fx * fx * terrain.xx[k] + 2 * fx * fy * terrain.xy[k] + fy * fy * terrain.yy[k];
  // Rejects most of the bottom early, and the rim, where the bend is unknown.
  if (!(Math.abs(bend) >= MIN_BEND)) return undefined;
  const x = k % terrain.columns;
  const y = Math.floor(k / terrain.columns);
  const at = (values: Float64Array, meters: number): number =>
    bilinear(terrain, values, x + (fx * meters) / cell, y + (fy * meters) / cell);
  const slopeAt = (meters: number): number => fx * at(gx, meters) + fy * at(gy, meters);
  const change = degrees(slopeAt(BREAK_REACH)) - degrees(slopeAt(-BREAK_REACH));
  if (!(Math.abs(change) >= MIN_BREAK)) return undefined;
  const sign = Math.sign(change);
  if (!(sign * bend > sign * bendAt(terrain, x - fx, y - fy, fx, fy))) return undefined;
  if (!(sign * bend >= sign * bendAt(terrain, x + fx, y + fy, fx, fy))) return undefined;
  if (change > 0) return at(depth, DROP_REACH) - depth[k] >= MIN_DROP ? 'lip' : undefined;
  return depth[k] - at(depth, -DROP_REACH) >= MIN_DROP ? 'foot' : undefined;
}

/** Finds the strongest second derivative at a node, 1/m, and its unit vector; undefined where near 0. */
function strongestBend(
  { xx, xy, yy }: Terrain,
  k: number,
): readonly [bend: number, x: number, y: number] | undefined {
  const mean = (xx[k] + yy[k]) / 2;
  const difference = Math.sqrt(((xx[k] - yy[k]) / 2) ** 2 + xy[k] ** 2);
  const bend = mean >= 0 ? mean + difference : mean - difference;
  // Also excludes unknown values at the rim.
  if (!(Math.abs(bend) >= 1e-6)) return undefined;
  // Eigenvector of the Hessian for the stronger bend, in the longer of its two forms.
  const isFirst = Math.abs(bend - xx[k]) > Math.abs(bend - yy[k]);
  const [ex, ey] = isFirst ? [xy[k], bend - xx[k]] : [bend - yy[k], xy[k]];
  const length = Math.sqrt(ex * ex + ey * ey);
  return length > 0 ? [bend, ex / length, ey / length] : [bend, 1, 0];
}

/**
 * Returns `crest` or `thalweg` for a node on such a line. In the direction of its strongest bend, the bottom
 * is level there, and falls (crest) or rises (thalweg) on both sides.
 */
function axisAt(terrain: Terrain, k: number): 'crest' | 'thalweg' | undefined {
  const { gx, gy, cell } = terrain;
  const strongest = strongestBend(terrain, k);
  if (strongest === undefined) return undefined;
  const [bend, wx, wy] = strongest;
  if (Math.abs((wx * gx[k] + wy * gy[k]) / bend) > AXIS_REACH) return undefined;
  const x = k % terrain.columns;
  const y = Math.floor(k / terrain.columns);
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
  if (one < MIN_BOTH) return undefined;
  const other = fall(-1);
  if (other < MIN_BOTH || Math.max(one, other) < MIN_ONE) return undefined;
  return sign > 0 ? 'crest' : 'thalweg';
}

/**
 * Finds the place, in nodes, where a line passes one of its nodes. A lip or foot passes at the peak of a
 * parabola through three second derivatives along the fall line. A crest or thalweg passes where the bottom
 * is level across the line. Where there is no such point, the place is the node. Unlike the node, the place
 * depends little on how the lattice lies.
 */
export function linePlaceAt(terrain: Terrain, kind: LineKind, k: number): [x: number, y: number] {
  const [x, y] = [k % terrain.columns, Math.floor(k / terrain.columns)];
  const isEdge = kind === 'lip' || kind === 'foot';
  const [step, dx, dy] = (isEdge ? edgeStep(terrain, k, x, y) : axisStep(terrain, k)) ?? [0, 0, 0];
  return [x + step * dx, y + step * dy];
}

type Step = readonly [nodes: number, x: number, y: number];

function edgeStep(terrain: Terrain, k: number, x: number, y: number): Step | undefined {
  const slope = Math.sqrt(terrain.gx[k] ** 2 + terrain.gy[k] ** 2);
  if (slope < MIN_SLOPE) return undefined;
  const fall = [terrain.gx[k] / slope, terrain.gy[k] / slope] as const;
  const [before, here, after] = [-1, 0, 1].map((d) =>
    bendAt(terrain, x + d * fall[0], y + d * fall[1], ...fall),
  );
  const step = (before - after) / (2 * (before - 2 * here + after));
  return Math.abs(step) <= 0.5 ? [step, ...fall] : undefined;
}

function axisStep(terrain: Terrain, k: number): Step | undefined {
  const strongest = strongestBend(terrain, k);
  if (strongest === undefined) return undefined;
  const [bend, wx, wy] = strongest;
  return [-(wx * terrain.gx[k] + wy * terrain.gy[k]) / (bend * terrain.cell), wx, wy];
}
