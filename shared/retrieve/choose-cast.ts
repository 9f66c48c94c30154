import type { DepthGrid } from '../bottom/model.ts';
import { METERS_PER } from '../geo/units.ts';
import { placeOn } from './cast-lines.ts';
import type { CastRule } from './cast-rules.ts';
import type { Fish } from './fish.ts';
import { type Hazard, hazardsUnder } from './hazards.ts';
import { judgeCast, type Verdict } from './judge.ts';
import {
  type Candidate,
  findCandidates,
  findHiddenCandidates,
  refineCandidate,
  type SearchSpace,
} from './search.ts';
import { leastDepthAround, whyNoCast } from './side.ts';

/** A candidate with what the retrieve model expects of it. */
export interface JudgedCast extends Candidate, Verdict {}

/** How many candidates the retrieve model judges: of those all round, and of those near the best of them. */
export interface Effort {
  readonly finalists: number;
  readonly refined: number;
  /** Looks again, more closely, where hardly any line does. */
  readonly isThorough: boolean;
}
const FULL_EFFORT: Effort = { finalists: 6, refined: 3, isThorough: true };

/** Preferences within a near tie, as shares of the contact. */
/** Against a retrieve along the break rather than down it: in full at a right angle to the fall line, none up to 30 deg. */
const ALONG_WEIGHT = 0.1;
const DOWN_THE_BREAK = 30;
/** On slopes gentler than this there is hardly a break to go along, m/m: 2 deg. */
const BREAK = Math.tan((2 * Math.PI) / 180);
/** For the side that the whole neighborhood falls to, so that near equals do not turn round by a few soundings. */
const SIDE_WEIGHT = 0.025;
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
/** For contact at all the depths stated. */
const SPAN_WEIGHT = 0.2;
/** A landing is near the band's edge within this depth of it, m: 2 ft. */
const NEAR_EDGE = 2 * METERS_PER.ft;

export interface Preferences {
  /** Where casts would rather go, east and north, of length 1 at most; absent: anywhere. */
  readonly toward?: readonly [east: number, north: number];
  /** Further share of the contact by which a bearing is preferred, about -0.05 to 0.05. */
  readonly byBearing?: (bearing: number) => number;
  /** Hazards that the person marked, to be kept from under the cast where another is as good. */
  readonly hazards?: readonly Hazard[];
}

/**
 * The cast of a rule that is expected to hold the lure on bottom among the fish longest, robustly.
 *
 * @param wave Wavelength of bottom draws, m.
 * @returns undefined when the bottom allows none.
 */
export function chooseCast(
  space: SearchSpace,
  rule: CastRule,
  wave: number,
  preferences: Preferences,
  effort: Effort = FULL_EFFORT,
): JudgedCast | undefined {
  const { fish, grid } = space;
  const worth = (one: Candidate, contact: number): number =>
    worthOf(contact, one, rule, fish, grid, preferences);
  const holds = ({ line, boat }: Candidate): boolean => {
    const [east, north] = placeOn(line, boat);
    const spot = { east, north, depth: line.depth[boat], depthSd: line.sd[boat] };
    return leastDepthAround(grid, spot) >= rule.draft;
  };
  let finalists = spread(findCandidates(space, rule), effort.finalists, worth, holds);
  if (finalists.length === 0 && effort.isThorough && whyNoCast(space, rule).missing === 'line')
    finalists = spread(findHiddenCandidates(space, rule), effort.finalists, worth, holds);
  const best = bestOf(space, finalists, wave, worth);
  if (best === undefined || effort.refined === 0) return best;
  const near = spread(refineCandidate(space, rule, best), effort.refined, worth, holds);
  const refined = bestOf(space, near, wave, worth);
  if (refined === undefined) return best;
  return judgedWorth(refined, worth) > judgedWorth(best, worth) ? refined : best;
}

type Worth = (one: Candidate, contact: number) => number;

const judgedWorth = (one: JudgedCast, worth: Worth): number =>
  worth(one, one.fishContact * (1 + SPAN_WEIGHT * one.span));

/** The one worth most of some candidates, all judged by the retrieve model. */
function bestOf(
  space: SearchSpace,
  candidates: readonly Candidate[],
  wave: number,
  worth: Worth,
): JudgedCast | undefined {
  let best: JudgedCast | undefined;
  let bestWorth = Number.NEGATIVE_INFINITY;
  for (const candidate of candidates) {
    const judged = judge(space, candidate, wave);
    const value = judgedWorth(judged, worth);
    if (value > bestWorth) {
      best = judged;
      bestWorth = value;
    }
  }
  return best;
}

/** A candidate with the verdict of the retrieve model. */
export function judge(space: SearchSpace, candidate: Candidate, wave: number): JudgedCast {
  const { tackle, fish, scratch } = space;
  const cast = { ...candidate, lure: tackle.lures[candidate.lure].drag };
  return { ...candidate, ...judgeCast(cast, fish, tackle, wave, scratch) };
}

/** Contact with the preferences that decide between near equals. */
function worthOf(
  contact: number,
  cast: Candidate,
  rule: CastRule,
  { stated }: Fish,
  grid: DepthGrid,
  preferences: Preferences,
): number {
  const { toward = [0, 0], byBearing } = preferences;
  const [east, north] = cast.line.direction;
  const landing = cast.line.depth[cast.boat + Math.round(cast.cast)];
  const beyond = stated === undefined ? 0 : Math.max(stated.top - landing, landing - stated.bottom, 0);
  const far = Math.min(Math.max(beyond - NEAR_EDGE, 0) / NEAR_EDGE, 1);
  const water = cast.line.depth[cast.boat];
  const clear = Math.min(water - rule.boat.top, rule.boat.bottom - water);
  const edge = Math.max(1 - clear / Math.max(CLEAR_OF_EDGE, SURELY_CLEAR * cast.line.sd[cast.boat]), 0);
  const wanted =
    (byBearing?.(cast.line.bearing) ?? 0) - (isOverHazard(cast, preferences) ? HAZARD_WEIGHT : 0);
  // A meter more, so that the preferences decide as well where no lure reaches the bottom.
  return (
    (contact + 1) *
    cast.weight *
    (1 -
      ALONG_WEIGHT * alongBreak(cast, grid) -
      LANDING_WEIGHT * far -
      (stated === undefined ? EDGE_WEIGHT : STATED_EDGE_WEIGHT) * edge +
      SIDE_WEIGHT * (east * toward[0] + north * toward[1]) +
      wanted)
  );
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

/** Rate of deepening at the node nearest a place, m/m; none at the edge of the grid. */
function gradientAt(
  { size, cellSize, depth }: DepthGrid,
  east: number,
  north: number,
): [east: number, north: number] {
  const column = Math.round((size - 1) / 2 + east / cellSize);
  const row = Math.round((size - 1) / 2 + north / cellSize);
  if (column < 1 || row < 1 || column > size - 2 || row > size - 2) return [0, 0];
  const at = row * size + column;
  const across = 2 * cellSize;
  return [(depth[at + 1] - depth[at - 1]) / across, (depth[at + size] - depth[at - size]) / across];
}

function isOverHazard({ line, boat, cast }: Candidate, { hazards = [] }: Preferences): boolean {
  if (hazards.length === 0) return false;
  const [from, to] = [placeOn(line, boat), placeOn(line, boat + cast)].map(([east, north]) => ({
    east,
    north,
  }));
  return hazardsUnder(hazards, from, to).length > 0;
}

/** The best candidates that hold and are not within a few meters of a better one. */
function spread(
  candidates: readonly Candidate[],
  most: number,
  worth: Worth,
  holds: (one: Candidate) => boolean,
): Candidate[] {
  const sorted = candidates
    .map((one) => ({ one, value: worth(one, one.score) }))
    .sort((a, b) => b.value - a.value);
  const kept: Candidate[] = [];
  for (const { one } of sorted) {
    if (kept.some((other) => isNear(one, other)) || !holds(one)) continue;
    kept.push(one);
    if (kept.length === most) break;
  }
  return kept;
}

const isNear = (a: Candidate, b: Candidate): boolean =>
  a.line === b.line && Math.abs(a.boat - b.boat) <= 3 && Math.abs(a.cast - b.cast) <= 5;
