import { minBy } from 'es-toolkit/array';
import KDBush from 'kdbush';
import { medianOf } from '../../math/index.ts';
import type { TrackNodes } from './nodes.ts';

/**
 * Plane that predicts the depth of a node from nearby other track: another log, or a part of the same log
 * that is far from the node along the log (`OWN_WAY`, `OWN_TIMES`).
 *
 * The prediction is the sum of weights[k] * depth[from[k]]. Depth minus prediction shows faults and the
 * curvature of the bottom, but hardly the depth and slope of the bottom. A fault that adds e[i] to the depth
 * of each node i adds e[node] minus the sum of weights[k] * e[from[k]] to this difference.
 */
interface Plane {
  readonly from: readonly number[];
  readonly weights: readonly number[];
  /** Rate of deepening, m/m. */
  readonly slope: readonly [east: number, north: number];
  /** Result of `reachOf`, m. */
  readonly reach: number;
}

/** Nodes, each compared with other track nearby. */
export interface Ties {
  readonly nodes: TrackNodes;
  /** Plane of each node; undefined for a node that is not tied, because too little other track is near. */
  readonly planes: readonly (Plane | undefined)[];
  /** Depth of each node minus its prediction from other track, m; NaN for a node that is not tied. */
  readonly difference: Float64Array;
  /** Typical size of `difference` without faults, m (`noiseOf`); NaN for a node that is not tied. */
  readonly noise: Float64Array;
}

/** Approximate maximum number of nodes that a plane is fitted to. */
const MAX_NEIGHBORS = 32;
/** Maximum radius of a fit, as a multiple of the reach or of `CLOSE`, whichever is larger. */
const RADIUS = 1.6;
/** Distance along a log below which two nodes are the same track, m. */
const OWN_WAY = 40;
/** Ratio of the distance along a log to the straight distance, below which two nodes are the same track. */
const OWN_TIMES = 3;
/** Distance to other track below which no track is needed on the opposite side, m. */
const CLOSE = 6;
/** Maximum reach: the larger of `FAR`, m, and `FAR_SPACINGS`, in pass spacings. */
const FAR = 25;
const FAR_SPACINGS = 1.5;
/** Maximum distance of the neighbors' weighted center from the node, as a share of the fit's radius. */
const OFF_MIDDLE = 0.45;
/** Ridge term, m^2: (noise / typical slope)^2. Limits the slope of a plane through a single pass. */
const RIDGE = 2;

export function findTies(nodes: TrackNodes): Ties {
  const farthest = Math.max(FAR, FAR_SPACINGS * nodes.spacing);
  const index = new KDBush(nodes.count);
  for (let i = 0; i < nodes.count; i++) index.add(nodes.east[i], nodes.north[i]);
  index.finish();
  const planes = Array.from(nodes.depth, (_, i) => planeAt(nodes, index, i, farthest));
  return withDepths({ nodes, planes }, nodes.depth);
}

/** Recomputes differences and noise for other depths, with the same planes. */
export function withDepths({ nodes, planes }: Pick<Ties, 'nodes' | 'planes'>, depth: Float64Array): Ties {
  const changed = { nodes: { ...nodes, depth }, planes, difference: differenceOf(planes, depth) };
  return { ...changed, noise: noiseOf(changed, curvatureAlongLegs(changed.nodes)) };
}

/** Subtracts the planes' predictions from a column of values at the nodes; NaN where a node is not tied. */
export const differenceOf = (planes: Ties['planes'], column: Float64Array): Float64Array =>
  column.map((value, i) => {
    const plane = planes[i];
    if (plane === undefined) return Number.NaN;
    for (let k = 0; k < plane.from.length; k++) value -= plane.weights[k] * column[plane.from[k]];
    return value;
  });

/** A node of other track, `x` m east and `y` m north of the predicted node; `square` is x^2 + y^2. */
interface Neighbor {
  readonly node: number;
  readonly x: number;
  readonly y: number;
  readonly square: number;
  readonly depth: number;
}

/**
 * Fits the plane of node `i`; undefined when other track is too far away or too one-sided. The search radius
 * doubles until it covers the whole fit or reaches its maximum.
 */
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
 * Returns the distance to the nearest neighbor on the far side of the node, m: the side opposite the nearest
 * neighbor of all.
 *
 * Without a neighbor on the far side within `farthest`, returns `CLOSE` if the nearest neighbor of all is
 * closer than `CLOSE`, otherwise undefined.
 */
function reachOf(near: readonly Neighbor[], farthest: number): number | undefined {
  const nearest = minBy(near, ({ square }) => square);
  if (nearest === undefined || nearest.square > farthest * farthest) return undefined;
  const opposite = near.filter(({ x, y }) => x * nearest.x + y * nearest.y < 0);
  const far = Math.min(...opposite.map(({ square }) => square));
  if (far <= farthest * farthest) return Math.sqrt(far);
  return nearest.square < CLOSE * CLOSE ? CLOSE : undefined;
}

/**
 * Fits a plane, weighted by nearness; undefined if the neighbors lie to one side and none is within `CLOSE`,
 * or if the fit fails.
 */
function planeThrough(near: readonly Neighbor[], reach: number): Plane | undefined {
  let square = (RADIUS * Math.max(reach, CLOSE)) ** 2;
  const within = near.filter((each) => each.square < square).length;
  // The radius shrinks so that about `MAX_NEIGHBORS` are left.
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

const BINS = 12;
const FEWEST_OF_BIN = 30;
const MIN_NOISE = 0.02;

const UNKNOWN_CURVATURE = 0.1;
/** Curvature added at all nodes, because the bottom between tracks is not seen, m. */
const HIDDEN_CURVATURE = 0.02;

/** Returns each node's curvature, m: mean absolute second difference of depth at up to 5 nodes of its leg. */
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
 * Returns the noise of each node, m: a robust standard deviation of `difference` among nodes with similarly
 * uncertain planes. Because it is robust, a fault in a part of the survey hardly changes the noise.
 */
export function noiseOf({ nodes, planes, difference }: Omit<Ties, 'noise'>, curvature: Float64Array) {
  /** Expected deviation of the bottom from the plane of each node, m, up to a constant factor. */
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
