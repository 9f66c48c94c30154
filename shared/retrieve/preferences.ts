import { type DepthGrid, METERS_PER } from '../contract/index.ts';
import { bilinear } from '../math/index.ts';
import { placeOn } from './cast-lines.ts';
import { type CastRule, isShallowSide } from './cast-rules.ts';
import type { Fish } from './fish.ts';
import { type Hazard, hazardsUnder } from './hazards.ts';
import type { Candidate } from './search.ts';

/* Weights are shares of the length among the fish. They decide between casts of nearly the same length. */
/** Penalty for a retrieve along the break, at a right angle to the fall line. */
const ALONG_WEIGHT = 0.15;
/** Penalty for a retrieve along the break from the shallow side, where direction matters less. */
const SHALLOW_ALONG_WEIGHT = 0.05;
/** Maximum angle without penalty between a retrieve and the fall line, deg. */
const DOWN_THE_BREAK = 15;
/** Minimum slope for the full penalty along the break, m/m: 2 deg. On gentler ground, the penalty fades. */
const BREAK = Math.tan((2 * Math.PI) / 180);
/**
 * Bonus for a cast up the general slope around the mark, or down that slope from the shallow side. The bonus
 * keeps a few new soundings from swapping two nearly equal casts.
 */
const SIDE_WEIGHT = 0.08;
const LANDING_WEIGHT = 0.03;
const HAZARD_WEIGHT = 0.1;
/** Penalty for a boat at a limit of its allowed depths: the boat may really be beyond the limit. */
const EDGE_WEIGHT = 0.12;
/** Penalty for a boat at a limit of its depths when the fish's depth is stated, and so more certain. */
const STATED_EDGE_WEIGHT = 0.06;
/** Minimum difference without penalty between a boat's depth and a limit, m; see also `SURELY_CLEAR`. */
const CLEAR_OF_EDGE = 0.3;
/** Minimum difference without penalty between a boat's depth and a limit, in standard deviations. */
const SURELY_CLEAR = 1.5;
const SLACK_WEIGHT = 0.1;
/** Maximum difference without penalty between a landing's depth and the stated depths, m: 2 ft. */
const NEAR_EDGE = 2 * METERS_PER.ft;

/** Preferences among casts with nearly the same length among the fish. */
export interface Preferences {
  /** Preferred direction of casts, east and north, of length 1 at most; absent: none. */
  readonly toward?: readonly [east: number, north: number];
  /** Bonus of a bearing for wind and current, as a share of the length among the fish, -0.05 to 0.03. */
  readonly byBearing?: (bearing: number) => number;
  /** Hazards that the user marked; casts avoid them where another cast is as good. */
  readonly hazards: readonly Hazard[];
}

/** Returns a length among the fish, m, as adjusted by all preferences and by the weight of the candidate. */
export function preferredLength(
  length: number,
  one: Candidate,
  rule: CastRule,
  { stated }: Fish,
  grid: DepthGrid,
  { toward, byBearing, hazards }: Preferences,
): number {
  const { direction } = one.line;
  const share =
    1 -
    (isShallowSide(rule) ? SHALLOW_ALONG_WEIGHT : ALONG_WEIGHT) * alongBreak(one, grid) -
    LANDING_WEIGHT * farLanding(one, stated) -
    (stated === undefined ? EDGE_WEIGHT : STATED_EDGE_WEIGHT) * nearEdge(one, rule) -
    SLACK_WEIGHT * slackUsed(one, rule) -
    (isOverHazard(one, hazards) ? HAZARD_WEIGHT : 0) +
    (toward === undefined ? 0 : SIDE_WEIGHT * (direction[0] * toward[0] + direction[1] * toward[1])) +
    (byBearing?.(one.line.bearing) ?? 0);
  // The added meter lets the preferences decide even between casts with no length among the fish.
  return (length + 1) * one.weight * share;
}

/** Rates how far a landing is from the stated depths: 0 up to `NEAR_EDGE`, 1 from twice that. */
function farLanding({ line, boat, cast }: Candidate, stated: Fish['stated']): number {
  if (stated === undefined) return 0;
  const landing = line.depth[boat + Math.round(cast)];
  const beyond = Math.max(stated.top - landing, landing - stated.bottom, 0);
  return Math.min(Math.max(beyond - NEAR_EDGE, 0) / NEAR_EDGE, 1);
}

/** Rates how close a boat is to a limit of its allowed depths: 0 when clear, 1 on the limit, more beyond. */
function nearEdge({ line, boat }: Candidate, rule: CastRule): number {
  const water = line.depth[boat];
  const clear = Math.min(water - rule.boat.top, rule.boat.bottom - water);
  return Math.max(1 - clear / Math.max(CLEAR_OF_EDGE, SURELY_CLEAR * line.sd[boat]), 0);
}

/** Returns the share of a rule's `slack` that a boat needs at its depth, 0 to 1. */
const slackUsed = ({ line, boat }: Candidate, { boat: { top }, slack }: CastRule): number =>
  slack === undefined ? 0 : Math.min(Math.max(top - line.depth[boat], 0) / slack, 1);

/**
 * Rates how much a retrieve runs along the break: 0 near the fall line, 1 at a right angle to a steep one.
 *
 * The fall line follows the mean of the gradients at the fish and halfway to the boat: on top of a hump or a
 * ridge, only the gradient halfway to the boat is steep.
 */
function alongBreak({ line, boat }: Candidate, { size, cellSize, depth }: DepthGrid): number {
  const { direction, middle } = line;
  const lattice = { columns: size, rows: size };
  let east = 0;
  let north = 0;
  for (const at of [middle, (boat + middle) / 2]) {
    const place = placeOn(line, at);
    const x = (size - 1) / 2 + place[0] / cellSize;
    const y = (size - 1) / 2 + place[1] / cellSize;
    // At the edge of the grid, the ground counts as level.
    if (!(x >= 1 && y >= 1 && x < size - 2 && y < size - 2)) continue;
    east += bilinear(lattice, depth, x + 1, y) - bilinear(lattice, depth, x - 1, y);
    north += bilinear(lattice, depth, x, y + 1) - bilinear(lattice, depth, x, y - 1);
  }
  const slope = Math.sqrt(east * east + north * north) / (4 * cellSize);
  if (!(slope > 0)) return 0;
  const along = Math.abs(east * direction[0] + north * direction[1]) / (4 * cellSize * slope);
  const off = (Math.acos(Math.min(along, 1)) * 180) / Math.PI - DOWN_THE_BREAK;
  return (Math.max(off, 0) / (90 - DOWN_THE_BREAK)) * Math.min(slope / BREAK, 1);
}

function isOverHazard({ line, boat, cast }: Candidate, hazards: readonly Hazard[]): boolean {
  if (hazards.length === 0) return false;
  const place = (at: number) => {
    const [east, north] = placeOn(line, at);
    return { east, north };
  };
  return hazardsUnder(hazards, place(boat), place(boat + cast)).length > 0;
}
