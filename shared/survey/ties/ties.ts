import { minBy } from 'es-toolkit/array';
import KDBush from 'kdbush';
import { medianOf } from '../../math/index.ts';
import type { TrackNodes } from './nodes.ts';

/**
 * Plane fitted to nearby nodes of other track. It predicts the depth of a node.
 *
 * Its value at the node is the sum of `weights` times the depths at `from`. The weights add up to 1, so depth
 * minus predicted depth cancels the bottom except for its curvature. A fault in the depths appears in that
 * difference as the fault's own column minus its prediction.
 */
interface Plane {
  /** Nodes that the plane is fitted to. */
  readonly from: readonly number[];
  readonly weights: readonly number[];
  /** m/m. */
  readonly slope: readonly [east: number, north: number];
  /** Distance to the nearest track on the far side, m; `CLOSE` with track on one side only: see `reachOf`. */
  readonly reach: number;
}

/** Nodes, each compared with other passes over the same bottom. */
export interface Ties {
  readonly nodes: TrackNodes;
  /** By node; undefined where a node is not tied: no other track is near enough. */
  readonly planes: readonly (Plane | undefined)[];
  /** Depth of each node minus its prediction from other passes, m; NaN where the node is not tied. */
  readonly difference: Float64Array;
  /** Standard deviation of `difference` among nodes with similarly uncertain planes, m; NaN if not tied. */
  readonly noise: Float64Array;
}

/** Approximate maximum number of nodes that a plane is fitted to. */
const MAX_NEIGHBORS = 32;
/** Radius of the fit, as a multiple of the reach. */
const RADIUS = 1.6;
/** Nodes of a log are the same track when they are closer along the log than this, m. */
const OWN_WAY = 40;
/** Nodes are also the same track when the way along the log is under this many times their distance. */
const OWN_TIMES = 3;
/** When other track is nearer than this, m, none is needed on the opposite side. */
const CLOSE = 6;
/** Maximum reach, m, unless `FAR_SPACINGS` allows more. */
const FAR = 25;
/** Maximum reach in pass spacings, unless `FAR` allows more. */
const FAR_SPACINGS = 1.5;
/** Maximum offset of the center of the neighbors from the node, in radii. */
const OFF_MIDDLE = 0.45;
/** Ridge term: squared ratio of noise to typical slope, m2; limits the slope of a plane through a single pass. */
const RIDGE = 2;

/** Ties each node to other track. */
export function findTies(nodes: TrackNodes): Ties {
  const farthest = Math.max(FAR, FAR_SPACINGS * nodes.spacing);
  const index = new KDBush(nodes.count);
  for (let i = 0; i < nodes.count; i++) index.add(nodes.east[i], nodes.north[i]);
  index.finish();
  const planes = Array.from(nodes.depth, (_, i) => planeAt(nodes, index, i, farthest));
  return withDepths({ nodes, planes }, nodes.depth);
}

/** The same ties with other depths at the nodes. */
export function withDepths({ nodes, planes }: Pick<Ties, 'nodes' | 'planes'>, depth: Float64Array): Ties {
  const changed = { nodes: { ...nodes, depth }, planes, difference: differenceOf(planes, depth) };
  return { ...changed, noise: noiseOf(changed, curvatureAlongLegs(changed.nodes)) };
}

/** A column over the nodes minus its prediction from neighbors; NaN where a node is not tied. */
export const differenceOf = (planes: Ties['planes'], column: Float64Array): Float64Array =>
  column.map((value, i) => {
    const plane = planes[i];
    if (plane === undefined) return Number.NaN;
    for (let k = 0; k < plane.from.length; k++) value -= plane.weights[k] * column[plane.from[k]];
    return value;
  });

/** A node of other track near a node: its place relative to that node, and the squared distance, m2. */
interface Neighbor {
  readonly node: number;
  readonly x: number;
  readonly y: number;
  readonly square: number;
  readonly depth: number;
}

/** Plane through as much other track as it needs; undefined when other track is too far away. */
function planeAt(nodes: TrackNodes, index: KDBush, i: number, farthest: number): Plane | undefined {
  const most = RADIUS * farthest;
  for (let radius = Math.max(nodes.length, Math.min(RADIUS * nodes.spacing, most)); ; radius *= 2) {
    const near = otherTrack(nodes, index, i, Math.min(radius, most));
    const reach = reachOf(near, farthest);
    if (reach !== undefined && (RADIUS * reach <= radius || radius >= most)) return planeThrough(near, reach);
    if (radius >= most) return undefined;
  }
}

function otherTrack({ east, north, depth, log, way }: TrackNodes, index: KDBush, i: number, radius: number) {
  const found: Neighbor[] = [];
  for (const node of index.within(east[i], north[i], radius).sort((a, b) => a - b)) {
    const [x, y] = [east[node] - east[i], north[node] - north[i]];
    const square = x ** 2 + y ** 2;
    const along = log[node] === log[i] ? Math.abs(way[node] - way[i]) : Number.POSITIVE_INFINITY;
    if (along < OWN_WAY || along * along < OWN_TIMES * OWN_TIMES * square) continue;
    found.push({ node, x, y, square, depth: depth[node] });
  }
  return found;
}

/**
 * Distance to the nearest track on the far side of the node, opposite to the nearest track of all, m. `CLOSE`
 * when the far side has no track within `farthest` but the nearest track is closer than `CLOSE`; undefined
 * when the nearest track is not that close.
 */
function reachOf(near: readonly Neighbor[], farthest: number): number | undefined {
  const nearest = minBy(near, ({ square }) => square);
  if (nearest === undefined || nearest.square > farthest * farthest) return undefined;
  const opposite = near.filter(({ x, y }) => x * nearest.x + y * nearest.y < 0);
  const far = Math.min(...opposite.map(({ square }) => square));
  if (far <= farthest * farthest) return Math.sqrt(far);
  return nearest.square < CLOSE * CLOSE ? CLOSE : undefined;
}

/** Plane fitted to the nodes within a radius, weighted by nearness. */
function planeThrough(near: readonly Neighbor[], reach: number): Plane | undefined {
  let square = (RADIUS * Math.max(reach, CLOSE)) ** 2;
  const within = near.filter((each) => each.square < square).length;
  // With too many nodes, shrinks the radius to keep about the nearest `MAX_NEIGHBORS`.
  if (within > MAX_NEIGHBORS) square *= MAX_NEIGHBORS / within;
  const used = near.filter((each) => each.square < square);
  const w = used.map((each) => {
    const share = each.square / square;
    return (1 - share * Math.sqrt(share)) ** 3;
  });
  const sum = (of: (each: Neighbor, k: number) => number, from = 0): number =>
    used.reduce((all, each, k) => all + of(each, k), from);
  const s0 = sum((_, k) => w[k]);
  const sx = sum(({ x }, k) => w[k] * x);
  const sy = sum(({ y }, k) => w[k] * y);
  const isMiddle = Math.sqrt((sx * sx + sy * sy) / square) < OFF_MIDDLE * s0;
  if (!(s0 > 0) || !(isMiddle || near.some((each) => each.square < CLOSE * CLOSE))) return undefined;
  const sxx = sum(({ x }, k) => w[k] * x * x, RIDGE);
  const sxy = sum(({ x, y }, k) => w[k] * x * y);
  const syy = sum(({ y }, k) => w[k] * y * y, RIDGE);
  // Inverse of the symmetric matrix of the normal equations, by cofactors.
  const c00 = sxx * syy - sxy * sxy;
  const c01 = sy * sxy - sx * syy;
  const c02 = sx * sxy - sy * sxx;
  const c11 = s0 * syy - sy * sy;
  const c12 = sx * sy - s0 * sxy;
  const c22 = s0 * sxx - sx * sx;
  const determinant = s0 * c00 + sx * c01 + sy * c02;
  if (!(determinant > 0)) return undefined;
  return {
    from: used.map(({ node }) => node),
    weights: used.map(({ x, y }, k) => (w[k] / determinant) * (c00 + x * c01 + y * c02)),
    slope: [
      sum(({ x, y, depth }, k) => (w[k] / determinant) * (c01 + x * c11 + y * c12) * depth),
      sum(({ x, y, depth }, k) => (w[k] / determinant) * (c02 + x * c12 + y * c22) * depth),
    ],
    reach,
  };
}

/** Maximum number of bins of nodes with similarly uncertain planes. */
const BINS = 12;
/** Fewest nodes in a bin. */
const FEWEST_OF_BIN = 30;
/** Minimum noise, m. */
const MIN_NOISE = 0.02;

/** Curvature assumed where a track is too short to show it, m. */
const UNKNOWN_CURVATURE = 0.1;
/** Curvature added everywhere for what no track shows, m. */
const HIDDEN_CURVATURE = 0.02;

/** Curvature of the bottom: mean absolute second difference of depth along the track around each node, m. */
export function curvatureAlongLegs({ count, leg, depth }: TrackNodes): Float64Array {
  const curvature = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    let sum = 0;
    let n = 0;
    for (let j = i - 2; j <= i + 2; j++) {
      if (j < 1 || j + 1 >= count || leg[j - 1] !== leg[i] || leg[j + 1] !== leg[i]) continue;
      sum += Math.abs(depth[j - 1] - 2 * depth[j] + depth[j + 1]);
      n++;
    }
    curvature[i] = n === 0 ? UNKNOWN_CURVATURE : sum / n;
  }
  return curvature;
}

/**
 * Robust standard deviation of the differences among nodes over similarly curved bottom, so a fault in part
 * of the survey hardly affects it.
 *
 * @param curvature Of the bottom at each node, m.
 */
export function noiseOf({ nodes, planes, difference }: Omit<Ties, 'noise'>, curvature: Float64Array) {
  /** Deviation of the bottom from a plane over the reach of each node, m, up to a constant factor. */
  const hidden = planes.map(
    (plane, i) => plane && (curvature[i] + HIDDEN_CURVATURE) * Math.max(1, (plane.reach / nodes.length) ** 2),
  );
  const tied = [...planes.keys()].filter((i) => planes[i] !== undefined);
  tied.sort((a, b) => hidden[a]! - hidden[b]!);
  const noise = new Float64Array(nodes.count).fill(Number.NaN);
  const bins = Math.max(1, Math.min(BINS, Math.floor(tied.length / FEWEST_OF_BIN)));
  for (let bin = 0; bin < bins; bin++) {
    const inBin = tied.slice(
      Math.floor((bin * tied.length) / bins),
      Math.floor(((bin + 1) * tied.length) / bins),
    );
    const sd = 1.4826 * medianOf(Float64Array.from(inBin, (i) => Math.abs(difference[i])));
    for (const i of inBin) noise[i] = Math.max(MIN_NOISE, sd);
  }
  return noise;
}
