import KDBush from 'kdbush';
import { medianOf } from '../../math/index.ts';
import type { TrackNodes } from './nodes.ts';

/**
 * Prediction of the depth of each node from other passes, by a plane fitted to nearby nodes of other track.
 *
 * The plane's value at node i is the sum of `weight[k] * depth[neighbor[k]]` for k from `starts[i]` to `starts[i
 * + 1]`; a node without neighbors is not tied. The weights of a node add up to 1, so depth minus predicted depth
 * cancels the bottom except for its curvature. A fault in the depths appears in that difference as the fault's
 * own column minus its prediction.
 */
export interface Ties {
  readonly nodes: TrackNodes;
  readonly starts: Int32Array;
  readonly neighbor: Int32Array;
  readonly weight: Float64Array;
  /** Slope of the plane, m/m, east and north. */
  readonly slopeEast: Float64Array;
  readonly slopeNorth: Float64Array;
  /** Distance to the nearest other track or, if farther, to the nearest other track on the opposite side, m. */
  readonly reach: Float64Array;
  /** Standard deviation of the difference among nodes with similarly uncertain planes, m. */
  readonly noise: Float64Array;
}

/** Approximate maximum number of nodes that a plane is fitted to. */
const MAX_NEIGHBORS = 32;
/** Radius of the fit, as a multiple of the reach. */
const RADIUS = 1.6;
/**
 * Nodes of one log count as the same track when the distance along the log is less than this, m, or less than
 * this many times the straight distance between them.
 */
const OWN_WAY = 40;
const OWN_TIMES = 3;
/** When other track is nearer than this, m, none is needed on the opposite side. */
const CLOSE = 6;
/**
 * Maximum reach, in meters and in pass spacings (the larger counts), and maximum offset of the center of the
 * neighbors from the node, in radii.
 */
const FAR = 25;
const FAR_SPACINGS = 1.5;
const OFF_MIDDLE = 0.45;
/** Ridge term: squared ratio of noise to typical slope, m2; limits the slope of a plane through a single pass. */
const RIDGE = 2;

/** Ties each node to other track. */
export function findTies(nodes: TrackNodes): Ties {
  const { count } = nodes;
  const farthest = Math.max(FAR, FAR_SPACINGS * nodes.spacing);
  const least = Math.max(nodes.length, RADIUS * Math.min(nodes.spacing, farthest));
  const index = new KDBush(count);
  for (let i = 0; i < count; i++) index.add(nodes.east[i], nodes.north[i]);
  index.finish();
  const starts = new Int32Array(count + 1);
  const neighbor: number[] = [];
  const weight: number[] = [];
  const slopeEast = new Float64Array(count);
  const slopeNorth = new Float64Array(count);
  const reach = new Float64Array(count).fill(Number.NaN);
  for (let i = 0; i < count; i++) {
    starts[i] = neighbor.length;
    const found = lookAround(nodes, index, i, least, farthest);
    const plane = found && planeThrough(nodes, i, found);
    if (plane === undefined) continue;
    reach[i] = found!.reach;
    [slopeEast[i], slopeNorth[i]] = plane.slope;
    for (let k = 0; k < plane.rows.length; k++) {
      neighbor.push(plane.rows[k]);
      weight.push(plane.weights[k]);
    }
  }
  starts[count] = neighbor.length;
  const ties = {
    nodes,
    starts,
    neighbor: Int32Array.from(neighbor),
    weight: Float64Array.from(weight),
    slopeEast,
    slopeNorth,
    reach,
  };
  return { ...ties, noise: noiseOf(ties, differenceOf(ties, nodes.depth)) };
}

/** The same ties with other depths at the nodes, and the noise recomputed for those depths. */
export function withDepths(ties: Ties, depth: Float64Array): Ties {
  const changed = { ...ties, nodes: { ...ties.nodes, depth } };
  return { ...changed, noise: noiseOf(changed, differenceOf(changed, depth)) };
}

/** A column over the nodes minus its prediction from neighbors; NaN where a node is not tied. */
export function differenceOf(
  { nodes, starts, neighbor, weight }: Omit<Ties, 'noise'>,
  column: ArrayLike<number>,
): Float64Array {
  const out = new Float64Array(nodes.count);
  for (let i = 0; i < nodes.count; i++) {
    if (starts[i] === starts[i + 1]) {
      out[i] = Number.NaN;
      continue;
    }
    let sum = column[i];
    for (let k = starts[i]; k < starts[i + 1]; k++) sum -= weight[k] * column[neighbor[k]];
    out[i] = sum;
  }
  return out;
}

/** Nodes of other track near a node, with their squared distances, m2. */
interface Found {
  readonly rows: readonly number[];
  readonly squares: readonly number[];
}

/** Nodes of other track as far out as the plane needs, and the reach; undefined when other track is too far away. */
function lookAround(
  nodes: TrackNodes,
  index: KDBush,
  i: number,
  least: number,
  farthest: number,
): (Found & { readonly reach: number }) | undefined {
  for (let radius = least; ; radius *= 2) {
    const found = otherTrack(nodes, index, i, Math.min(radius, RADIUS * farthest));
    const reach = reachOf(nodes, i, found, farthest);
    const isAll = radius >= RADIUS * farthest;
    if (reach !== undefined && (RADIUS * reach <= radius || isAll)) return { ...found, reach };
    if (isAll) return undefined;
  }
}

function otherTrack({ east, north, log, way }: TrackNodes, index: KDBush, i: number, radius: number): Found {
  const rows: number[] = [];
  const squares: number[] = [];
  for (const j of index.within(east[i], north[i], radius).sort((a, b) => a - b)) {
    const square = (east[j] - east[i]) ** 2 + (north[j] - north[i]) ** 2;
    if (log[j] === log[i]) {
      const along = Math.abs(way[j] - way[i]);
      if (along < OWN_WAY || along * along < OWN_TIMES * OWN_TIMES * square) continue;
    }
    rows.push(j);
    squares.push(square);
  }
  return { rows, squares };
}

/**
 * Distance to the nearest other track on the opposite side of the node from the very nearest, m; `CLOSE` when
 * there is none within reach but other track is nearer than that; undefined otherwise.
 */
function reachOf(
  { east, north }: TrackNodes,
  i: number,
  { rows, squares }: Found,
  farthest: number,
): number | undefined {
  let nearest = -1;
  for (let k = 0; k < rows.length; k++) if (nearest < 0 || squares[k] < squares[nearest]) nearest = k;
  if (nearest < 0 || squares[nearest] > farthest * farthest) return undefined;
  const x = east[rows[nearest]] - east[i];
  const y = north[rows[nearest]] - north[i];
  let far = Number.POSITIVE_INFINITY;
  for (let k = 0; k < rows.length; k++) {
    if (squares[k] >= far) continue;
    if ((east[rows[k]] - east[i]) * x + (north[rows[k]] - north[i]) * y < 0) far = squares[k];
  }
  if (far <= farthest * farthest) return Math.sqrt(far);
  return squares[nearest] < CLOSE * CLOSE ? CLOSE : undefined;
}

interface Plane {
  readonly rows: readonly number[];
  readonly weights: readonly number[];
  readonly slope: readonly [east: number, north: number];
}

/**
 * Plane fitted to the nodes within a radius, weighted by nearness: the weight of each in the value at node `i`,
 * and the slope.
 */
function planeThrough(
  { east, north, depth }: TrackNodes,
  i: number,
  { rows: near, squares, reach }: Found & { readonly reach: number },
): Plane | undefined {
  let square = (RADIUS * Math.max(reach, CLOSE)) ** 2;
  const within = squares.reduce((sum, each) => sum + Number(each < square), 0);
  // With too many nodes, shrinks the radius to keep about the nearest `MAX_NEIGHBORS`.
  if (within > MAX_NEIGHBORS) square *= MAX_NEIGHBORS / within;
  const rows: number[] = [];
  const weights: number[] = [];
  let [s0, sx, sy, sxx, sxy, syy] = [0, 0, 0, RIDGE, 0, RIDGE];
  for (let k = 0; k < near.length; k++) {
    if (squares[k] >= square) continue;
    const j = near[k];
    const share = squares[k] / square;
    const w = (1 - share * Math.sqrt(share)) ** 3;
    const x = east[j] - east[i];
    const y = north[j] - north[i];
    rows.push(j);
    weights.push(w);
    s0 += w;
    sx += w * x;
    sy += w * y;
    sxx += w * x * x;
    sxy += w * x * y;
    syy += w * y * y;
  }
  const isMiddle = Math.sqrt((sx * sx + sy * sy) / square) < OFF_MIDDLE * s0;
  if (!(s0 > 0) || !(isMiddle || squares.some((each) => each < CLOSE * CLOSE))) return undefined;
  // Inverse of the symmetric matrix of the normal equations, by cofactors.
  const c00 = sxx * syy - sxy * sxy;
  const c01 = sy * sxy - sx * syy;
  const c02 = sx * sxy - sy * sxx;
  const c11 = s0 * syy - sy * sy;
  const c12 = sx * sy - s0 * sxy;
  const c22 = s0 * sxx - sx * sx;
  const determinant = s0 * c00 + sx * c01 + sy * c02;
  if (!(determinant > 0)) return undefined;
  let [slopeEast, slopeNorth] = [0, 0];
  for (let k = 0; k < rows.length; k++) {
    const j = rows[k];
    const w = weights[k] / determinant;
    const x = east[j] - east[i];
    const y = north[j] - north[i];
    weights[k] = w * (c00 + x * c01 + y * c02);
    slopeEast += w * (c01 + x * c11 + y * c12) * depth[j];
    slopeNorth += w * (c02 + x * c12 + y * c22) * depth[j];
  }
  return { rows, weights, slope: [slopeEast, slopeNorth] };
}

/** Number of bins of nodes with similarly uncertain planes, fewest nodes in a bin, and minimum noise, m. */
const BINS = 12;
const FEWEST_OF_BIN = 30;
const MIN_NOISE = 0.02;

/**
 * Robust standard deviation of the differences among nodes over similarly curved bottom, so a fault in part of
 * the survey hardly affects it.
 */
function noiseOf({ nodes, reach }: Omit<Ties, 'noise'>, difference: Float64Array): Float64Array {
  return noiseBy(hiddenCurvature(nodes, reach, curvatureAlongLegs(nodes)), difference);
}

/** Robust standard deviation of the differences, by node, within bins of nodes with similar `value`. */
export function noiseBy(value: Float64Array, difference: Float64Array): Float64Array {
  const tied = Array.from(difference.keys()).filter((i) => !Number.isNaN(difference[i]));
  tied.sort((a, b) => value[a] - value[b]);
  const noise = new Float64Array(difference.length).fill(Number.NaN);
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

/**
 * Curvature assumed where a track is too short to show any, and curvature added everywhere for what no track
 * shows, m.
 */
const UNKNOWN_CURVATURE = 0.1;
const HIDDEN_CURVATURE = 0.02;

/**
 * Mean absolute second difference of depth along the track around each node, m: the curvature of the bottom
 * there.
 */
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

/** Deviation of the bottom from a plane over the reach of each node, m, up to a constant factor. */
export const hiddenCurvature = (
  { length }: TrackNodes,
  reach: Float64Array,
  curvature: Float64Array,
): Float64Array =>
  curvature.map((value, i) => (value + HIDDEN_CURVATURE) * Math.max(1, (reach[i] / length) ** 2));
