import { type DepthGrid, METERS_PER } from '../contract/index.ts';
import { bilinear } from '../math/index.ts';
import { placeOn } from './cast-lines.ts';
import type { CastRule } from './cast-rules.ts';
import type { Fish } from './fish.ts';
import { type Hazard, hazardsUnder } from './hazards.ts';
import type { Candidate } from './search.ts';

/** Preferences between casts that touch nearly alike, as shares of the contact. */
/** Against a retrieve along the break rather than down it: in full at a right angle to the fall line, none up to 15 deg. */
const ALONG_WEIGHT = 0.15;
const DOWN_THE_BREAK = 15;
/** On slopes gentler than this there is hardly a break to go along, m/m: 2 deg. */
const BREAK = Math.tan((2 * Math.PI) / 180);
/** For the side to which the whole neighborhood falls, so that near equals do not turn round by a few soundings. */
const SIDE_WEIGHT = 0.08;
/** For a landing near the edge of the depths stated. */
const LANDING_WEIGHT = 0.03;
/** Against a hazard under the cast. */
const HAZARD_WEIGHT = 0.1;
/**
 * Against a boat so near the rule's edge that the model's error may put it among the fish: this far from it it is clear.
 * Less where their depth is stated: then only the boat's may err.
 */
const EDGE_WEIGHT = 0.12;
const STATED_EDGE_WEIGHT = 0.06;
/** m, and standard deviations of the depth. */
const CLEAR_OF_EDGE = 0.3;
const SURELY_CLEAR = 1.5;
/** A landing is near the edge of the depths stated within this depth of it, m: 2 ft. */
const NEAR_EDGE = 2 * METERS_PER.ft;

/** What is preferred among casts that touch nearly alike. */
export interface Preferences {
  /** Where casts would rather go, east and north, of length 1 at most; absent: anywhere. */
  readonly toward?: readonly [east: number, north: number];
  /** Further share of the contact by which a bearing is preferred, about -0.05 to 0.05. */
  readonly byBearing?: (bearing: number) => number;
  /** Hazards that the user marked, to be kept from under the cast where another is as good. */
  readonly hazards?: readonly Hazard[];
}

/** Length among the fish with the preferences that decide between near equals, m. */
export function preferredLength(
  length: number,
  one: Candidate,
  rule: CastRule,
  { stated }: Fish,
  grid: DepthGrid,
  { toward = [0, 0], byBearing, hazards = [] }: Preferences,
): number {
  const [east, north] = one.line.direction;
  const share =
    1 -
    ALONG_WEIGHT * alongBreak(one, grid) -
    LANDING_WEIGHT * farLanding(one, stated) -
    (stated === undefined ? EDGE_WEIGHT : STATED_EDGE_WEIGHT) * nearEdge(one, rule) -
    (isOverHazard(one, hazards) ? HAZARD_WEIGHT : 0) +
    SIDE_WEIGHT * (east * toward[0] + north * toward[1]) +
    (byBearing?.(one.line.bearing) ?? 0);
  // A meter more, so that the preferences decide as well where no lure reaches the bottom.
  return (length + 1) * one.weight * share;
}

/** How far a landing is off the depths stated, 0 within 2 ft of them to 1 from 4 ft. */
function farLanding({ line, boat, cast }: Candidate, stated: Fish['stated']): number {
  if (stated === undefined) return 0;
  const landing = line.depth[boat + Math.round(cast)];
  const beyond = Math.max(stated.top - landing, landing - stated.bottom, 0);
  return Math.min(Math.max(beyond - NEAR_EDGE, 0) / NEAR_EDGE, 1);
}

/** How near a boat is to the edge of the depths that it may sit in, 0 where it is clear of it to 1 on it. */
function nearEdge({ line, boat }: Candidate, rule: CastRule): number {
  const water = line.depth[boat];
  const clear = Math.min(water - rule.boat.top, rule.boat.bottom - water);
  return Math.max(1 - clear / Math.max(CLEAR_OF_EDGE, SURELY_CLEAR * line.sd[boat]), 0);
}

/**
 * How far a retrieve goes along the break rather than down or up it, 0 to 1.
 *
 * The break is that at the fish and half way to the boat: on top of a hump or a ridge the latter tells.
 */
function alongBreak({ line, boat }: Candidate, grid: DepthGrid): number {
  const there = gradientAt(grid, ...placeOn(line, line.middle));
  const between = gradientAt(grid, ...placeOn(line, (boat + line.middle) / 2));
  const [east, north] = [(there[0] + between[0]) / 2, (there[1] + between[1]) / 2];
  const slope = Math.hypot(east, north);
  if (!(slope > 0)) return 0;
  const down = Math.min(Math.abs(east * line.direction[0] + north * line.direction[1]) / slope, 1);
  const off = (Math.acos(down) * 180) / Math.PI - DOWN_THE_BREAK;
  return (Math.max(off, 0) / (90 - DOWN_THE_BREAK)) * Math.min(slope / BREAK, 1);
}

/** Rate of deepening at a place, m/m; none at the edge of the grid. */
function gradientAt(
  { size, cellSize, depth }: DepthGrid,
  east: number,
  north: number,
): [east: number, north: number] {
  const column = (size - 1) / 2 + east / cellSize;
  const row = (size - 1) / 2 + north / cellSize;
  const lattice = { columns: size, rows: size };
  const rise = (x: number, y: number): number =>
    (bilinear(lattice, depth, column + x, row + y) - bilinear(lattice, depth, column - x, row - y)) /
    (2 * cellSize);
  const gradient = [rise(1, 0), rise(0, 1)] as [number, number];
  return gradient.some(Number.isNaN) ? [0, 0] : gradient;
}

function isOverHazard({ line, boat, cast }: Candidate, hazards: readonly Hazard[]): boolean {
  if (hazards.length === 0) return false;
  const [from, to] = [placeOn(line, boat), placeOn(line, boat + cast)].map(([east, north]) => ({
    east,
    north,
  }));
  return hazardsUnder(hazards, from, to).length > 0;
}
