import type { BottomStatus } from '../contract/index.ts';
import type { Blocks } from './blocks.ts';

/** Distance to the nearest block beyond which nothing is known about the waypoint, m. */
const NEAREST_LIMIT = 40;
/** Limits of the radius around the waypoint within which blocks are judged, m. */
const MIN_REACH = 60;
const MAX_REACH = 80;
/** Distance above which a block is off a line, m: a boat holds its course to within a few meters. */
const OFF_LINE = 7;
const MIN_OFF_LINE = 3;
/** Maximum angle of a sector without blocks, deg; a wider sector means soundings on one side only. */
const WIDEST_GAP = 120;
const WIDE_SPACING = 70;
/** Maximum mean standard deviation, m, of the depth 24 m from the waypoint where passes are widely spaced. */
const MAX_SD = 0.25;

/**
 * Judges, by the positions and legs of the blocks, whether the blocks support a depth (all but `no-data`), a
 * slope (`edge` and `ok`) and structure (`ok`).
 *
 * Structure read from a single pass is right no more often than a guess.
 */
export function judgeStatus(blocks: Blocks, passSpacing: number): Exclude<BottomStatus, 'sparse'> {
  if (blocks.count < 6) return 'no-data';
  const reach = Math.min(MAX_REACH, Math.max(MIN_REACH, 1.2 * passSpacing));
  const near: number[] = [];
  let nearest = Number.POSITIVE_INFINITY;
  for (let i = 0; i < blocks.count; i++) {
    const square = blocks.east[i] * blocks.east[i] + blocks.north[i] * blocks.north[i];
    if (square < nearest) nearest = square;
    if (square <= reach * reach) near.push(i);
  }
  if (nearest > NEAREST_LIMIT * NEAREST_LIMIT) return 'no-data';
  if (isOneLine(blocks, near)) return 'one-pass';
  if (widestGap(blocks, near) > WIDEST_GAP) return 'edge';
  return 'ok';
}

/**
 * Tells whether passes are too far apart, and depths between passes too uncertain, to support structure.
 *
 * @param deviation Returns the mean standard deviation of the depth 24 m from the waypoint, m.
 */
export const isTooUnsure = (passSpacing: number, deviation: () => number): boolean =>
  passSpacing > WIDE_SPACING && deviation() > MAX_SD;

function isOneLine(blocks: Blocks, near: readonly number[]): boolean {
  if (near.length < 4) return true;
  const { east, north, leg } = blocks;
  return near.every((i) => leg[i] === leg[near[0]]) || !isWide(near, east, north);
}

/** Tells whether `MIN_OFF_LINE` or more blocks lie off the line that fits the blocks best. */
function isWide(near: readonly number[], east: Float64Array, north: Float64Array): boolean {
  const n = near.length;
  let middleEast = 0;
  let middleNorth = 0;
  for (const i of near) {
    middleEast += east[i] / n;
    middleNorth += north[i] / n;
  }
  let ee = 0;
  let en = 0;
  let nn = 0;
  for (const i of near) {
    const e = east[i] - middleEast;
    const m = north[i] - middleNorth;
    ee += e * e;
    en += e * m;
    nn += m * m;
  }
  const angle = Math.atan2(2 * en, ee - nn) / 2;
  const sin = Math.sin(angle);
  const cos = Math.cos(angle);
  let off = 0;
  for (const i of near) {
    if (Math.abs((north[i] - middleNorth) * cos - (east[i] - middleEast) * sin) > OFF_LINE) off++;
    if (off === MIN_OFF_LINE) return true;
  }
  return false;
}

/** Finds the widest sector without blocks as seen from the waypoint, deg; blocks within 1 m are ignored. */
function widestGap({ east, north }: Blocks, near: readonly number[]): number {
  const bearings = new Float64Array(near.length);
  let count = 0;
  for (const i of near)
    if (east[i] * east[i] + north[i] * north[i] > 1) bearings[count++] = Math.atan2(east[i], north[i]);
  if (count === 0) return 360;
  const sorted = bearings.subarray(0, count).sort();
  let widest = sorted[0] + 2 * Math.PI - sorted[count - 1];
  for (let k = 1; k < count; k++) widest = Math.max(widest, sorted[k] - sorted[k - 1]);
  return (widest * 180) / Math.PI;
}
