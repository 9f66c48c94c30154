import { CELL_SIZE, GRID_SIZE, latticeAt } from '../../bottom/index.ts';
import {
  clip,
  EAST,
  type HeightField,
  NORTH,
  nodesWithin,
  SMALL_HEIGHT,
  squash,
  toDegrees,
} from './height-field.ts';

/** Maximum distance of the edge from the mark, m; judgment. */
const EDGE_RADIUS = 25;

/** The steepest node near the mark, with nearer nodes preferred, and slopes along its fall line. */
export interface Edge {
  /** Steepest node, m from the mark. */
  readonly east: number;
  readonly north: number;
  /** Slope at the steepest node, deg. */
  readonly slope: number;
  /** Unit vector downslope, from the mean gradient of the 5 x 5 nodes around the steepest node. */
  readonly downEast: number;
  readonly downNorth: number;
  /** Mean slope along the fall line from 64 to 24 m upslope of the steepest node, deg. */
  readonly shelf: number;
  /** Mean slope along the fall line from 24 to 64 m downslope of the steepest node, deg. */
  readonly toe: number;
  /** Mean slope along the fall line from 8 m upslope to 8 m downslope of the steepest node, deg. */
  readonly face16: number;
  /** Mean slope along the fall line from 16 m upslope to 16 m downslope of the steepest node, deg. */
  readonly face32: number;
}

/** Finds the steepest node near the mark, with nearer nodes preferred, even on flat ground. */
export function findEdge(field: HeightField): Edge {
  const { node, slope } = steepest(field.smooth);
  const [east, north] = [EAST[node], NORTH[node]];
  const [downEast, downNorth] = downslope(field.smooth, node);
  const profile = (d: number): number => {
    let sum = 0;
    for (const side of [-8, 0, 8]) {
      sum += latticeAt(
        field.raw,
        east + d * downEast - side * downNorth,
        north + d * downNorth + side * downEast,
      );
    }
    return sum / 3;
  };
  const between = (a: number, b: number): number => toDegrees((profile(a) - profile(b)) / (b - a));
  return {
    east,
    north,
    slope,
    downEast,
    downNorth,
    shelf: between(-64, -24),
    toe: between(24, 64),
    face16: between(-8, 8),
    face32: between(-16, 16),
  };
}

/** Returns `[east, north]` rise per meter at a node, from differences over two cells. */
const riseAt = (g: Float64Array, node: number): [number, number] => [
  (g[node + 1] - g[node - 1]) / (2 * CELL_SIZE),
  (g[node + GRID_SIZE] - g[node - GRID_SIZE]) / (2 * CELL_SIZE),
];

const EDGE_NODES = nodesWithin(EDGE_RADIUS);

function steepest(g: Float64Array): { node: number; slope: number } {
  let best = -1;
  let found = { node: 0, slope: 0 };
  for (const node of EDGE_NODES) {
    const [riseEast, riseNorth] = riseAt(g, node);
    const rise = Math.hypot(riseEast, riseNorth);
    const score = rise * (1 - (EAST[node] ** 2 + NORTH[node] ** 2) / 2500);
    if (score <= best) continue;
    best = score;
    found = { node, slope: toDegrees(rise) };
  }
  return found;
}

function downslope(g: Float64Array, node: number): [number, number] {
  let e = 0;
  let n = 0;
  for (let j = -2; j <= 2; j++) {
    for (let i = -2; i <= 2; i++) {
      const [riseEast, riseNorth] = riseAt(g, node + j * GRID_SIZE + i);
      e -= riseEast;
      n -= riseNorth;
    }
  }
  const size = Math.hypot(e, n);
  return size > 1e-9 ? [e / size, n / size] : [1, 0];
}

/** Returns slopes of the face, alone and compared with `shelf` and `toe`. */
export function edgeFeatures(edge: Edge): number[] {
  const { slope, shelf, toe, face16, face32 } = edge;
  return [
    squash(slope, 3),
    squash(face16, 3),
    squash(face32, 3),
    Math.log((slope + 1) / (Math.abs(shelf) + 1)),
    Math.log((slope + 1) / (Math.abs(toe) + 1)),
    Math.tanh((shelf - face32) / 3),
    Math.tanh((toe - face32) / 3),
  ];
}

export const EDGE_NAMES: readonly string[] = [
  'edge_steep',
  'edge_f16',
  'edge_f32',
  'edge_steep/shelf',
  'edge_steep/toe',
  'edge_shelf-f32',
  'edge_toe-f32',
];

const FAN = [0, 15, -15, 30, -30, 45, -45];
const FAN_STEP = 4;

/**
 * Measures how far the bottom climbs again beyond its lowest point on seven lines fanned out downslope from
 * the mark, as shares of the height of the near bank.
 *
 * @returns Median share, second-highest share, median share weighted by the drop from the mark straight
 * downslope, and `fallBehind` through `squash`.
 */
export function farBankFeatures(field: HeightField, edge: Edge): number[] {
  const g = field.smooth;
  const { downEast: e, downNorth: n } = edge;
  let back = Number.NEGATIVE_INFINITY;
  for (let d = 0; d <= 40; d += FAN_STEP) back = Math.max(back, latticeAt(g, -d * e, -d * n));
  let straightLow = field.mark;
  const ratios = FAN.map((degrees, k) => {
    const cos = Math.cos((degrees * Math.PI) / 180);
    const sin = Math.sin((degrees * Math.PI) / 180);
    const { low, beyond } = lowAndBeyond(g, e * cos - n * sin, e * sin + n * cos);
    if (k === 0) straightLow = low;
    return (beyond - low) / (back - low + 0.25);
  }).sort((a, b) => a - b);
  const drop = squash(field.mark - straightLow, 0.65);
  return [
    clip(ratios[3], 0, 1.5),
    clip(ratios[5], 0, 1.5),
    clip(ratios[3], 0, 1.2) * drop,
    squash(fallBehind(g, e, n), SMALL_HEIGHT),
  ];
}

function lowAndBeyond(g: Float64Array, e: number, n: number): { low: number; beyond: number } {
  let low = Number.POSITIVE_INFINITY;
  let beyond = Number.NEGATIVE_INFINITY;
  for (let d = 0; d <= 100; d += FAN_STEP) {
    const z = latticeAt(g, d * e, d * n);
    if (z < low) {
      low = z;
      beyond = z;
    } else beyond = Math.max(beyond, z);
  }
  return { low, beyond };
}

/** Returns the greatest fall below the highest point passed, m, on the first 88 m upslope from the mark. */
function fallBehind(g: Float64Array, e: number, n: number): number {
  let most = Number.NEGATIVE_INFINITY;
  let fall = 0;
  for (let d = 0; d <= 88; d += FAN_STEP) {
    const z = latticeAt(g, -d * e, -d * n);
    most = Math.max(most, z);
    fall = Math.max(fall, most - z);
  }
  return fall;
}

export const FAR_BANK_NAMES: readonly string[] = ['far_med', 'far_hi2', 'far_med*drop', 'far_fallbehind_m'];

const WIDTH_BEARINGS = [-30, -15, 0, 15, 30];
const WIDTH_STEP = 4;
const WIDTH_REACH = 80;

/**
 * Returns five features, each weighted by the slope of the edge: the width of the ground 15 m upslope, how
 * narrow this ground is (near 1 if narrow, 0.5 at 70 m, near 0 if wide), the width of the ground 60 m
 * upslope, and the widths of the water 35 m and 60 m downslope. Widths are shares of 160 m.
 */
export function widthFeatures(field: HeightField, edge: Edge): number[] {
  const weight = squash(edge.slope, 3);
  const behind15 = widthAt(field, edge, -15, -1);
  const behind60 = widthAt(field, edge, -60, -1);
  return [
    (weight * behind15) / 160,
    weight / (1 + Math.exp((behind15 - 70) / 12)),
    (weight * behind60) / 160,
    (weight * widthAt(field, edge, 35, 1)) / 160,
    (weight * widthAt(field, edge, 60, 1)) / 160,
  ];
}

/**
 * Measures the width of the ground above the level of the edge (side -1) or of the water below that level
 * (side 1), across five bearings fanned out from the edge.
 *
 * @param distance Distance from the edge along a bearing at which to measure, m, positive downslope.
 * @returns The least of the five widths, m, at most 160.
 */
export function widthAt(field: HeightField, edge: Edge, distance: number, side: 1 | -1): number {
  const level = latticeAt(field.smooth, edge.east, edge.north);
  let least = Number.POSITIVE_INFINITY;
  for (const degrees of WIDTH_BEARINGS) {
    const cos = Math.cos((degrees * Math.PI) / 180);
    const sin = Math.sin((degrees * Math.PI) / 180);
    const e = edge.downEast * cos - edge.downNorth * sin;
    const n = edge.downEast * sin + edge.downNorth * cos;
    let width = 0;
    // Measuring stops at the least width so far.
    for (let way = 1; way >= -1; way -= 2) {
      for (let reach = 0; reach < WIDTH_REACH && width < least; reach += WIDTH_STEP, width += WIDTH_STEP) {
        const across = way * reach;
        const z = latticeAt(
          field.smooth,
          edge.east + distance * e - across * n,
          edge.north + distance * n + across * e,
        );
        if (side * (z - level) > 0) break;
      }
    }
    least = Math.min(least, width);
  }
  return least;
}

export const WIDTH_NAMES: readonly string[] = [
  'behind15_w',
  'behind15_narrow',
  'behind60_w',
  'front35_w',
  'front60_w',
];
