import { range } from 'd3-array';
import { memoize } from 'es-toolkit/function';
import type { DepthGrid } from '../contract/index.ts';
import { bearingOf } from '../geo/index.ts';
import { type CastLine, placeOn, sampleLine, turned } from './cast-lines.ts';
import {
  allowsBearing,
  type CastRule,
  isBoatDepth,
  MIN_WATER,
  PASSING,
  PAST_FISH,
  standOff,
} from './cast-rules.ts';
import { type Fish, placeWeight } from './fish.ts';
import { holdsDraft } from './side.ts';
import type { Tackle } from './tackle.ts';
import { NEAR_BOTTOM } from './touch.ts';
import { CAST_RATIO, CAST_SPREAD, emptyTrail, layTrail, MAX_CASTS, meanScore } from './trail.ts';

/** Usual net of lines: number of bearings, offsets from the fish, m, and spacing of boats on a line, m. */
const WIDE_NET = { bearings: 24, offsets: [-4, 0, 4], boatStep: 4 };
export type Net = typeof WIDE_NET;
/** Finer net, for ground where no line of the usual net satisfies the rule. */
export const CLOSE_NET: Net = { bearings: 72, offsets: [-PASSING, -2.5, 0, 2.5, PASSING], boatStep: 1 };

const SHORTEST_CAST = 12;
/** Shortest cast worth planning for a user whose longest cast is short, as a share of that cast. */
const SHORTEST_SHARE = 0.7;
/** Share of the best score so far that a boat position must be able to reach to be tried. */
const HOPELESS = 0.7;

/** One cast from one boat position. */
export interface Candidate {
  readonly line: CastLine;
  /** Index of the boat in the line's arrays. */
  readonly boat: number;
  /** Length of the cast, m. */
  readonly cast: number;
  /** Index of the lure in the tackle. */
  readonly lure: number;
  /** Length among the fish by `meanScore`, m; NaN for the cast of an earlier plan. */
  readonly score: number;
  /** Factor on lengths among the fish in comparisons: `DEEPER_LURE_WEIGHT` or 1. */
  readonly weight: number;
}

/**
 * Weight of a cast with a deeper lure than the longest cast needs. A deeper lure plows and snags, so its
 * length among the fish must be a quarter longer; judgment.
 */
const DEEPER_LURE_WEIGHT = 1 / 1.25;

/** Bottom, fish and tackle of one mark, with the casts found so far. */
export type SearchSpace = ReturnType<typeof searchSpace>;

/**
 * Prepares the search for casts at one mark.
 *
 * @param longestCast Returns the longest cast on a bearing in the wind, m.
 * @param isOpen True if zones let a boat sit at a place, m east and north of the mark; absent: anywhere.
 */
export function searchSpace(
  grid: DepthGrid,
  fish: Fish,
  tackle: Tackle,
  longestCast: (bearing: number) => number = () => tackle.longestCast,
  isOpen?: (east: number, north: number) => boolean,
) {
  let longest = 0;
  for (let bearing = 0; bearing < 360; bearing += 15) longest = Math.max(longest, longestCast(bearing));
  const half = Math.ceil(longest * (1 + CAST_SPREAD) + 2);
  const densityAt = memoize((offset: number) => densityAlong(fish, offset, half));
  const sampled = new Map<string, CastLine>();
  /** Samples the bottom along a line once. @param offset Distance of the line to the right of the fish, m. */
  const line = (bearing: number, offset: number): CastLine => {
    const key = `${bearing} ${offset}`;
    const known = sampled.get(key);
    if (known !== undefined) return known;
    const fresh =
      bearing < 180
        ? sampleLine(grid, fish, bearing, offset, densityAt(Math.abs(offset)))
        : turned(line(bearing - 180, -offset));
    sampled.set(key, fresh);
    return fresh;
  };
  return {
    grid,
    fish,
    tackle,
    line,
    /** Returns the lines past the fish at all bearings and offsets of a net. */
    lines: memoize(({ bearings, offsets }: Net) =>
      range(bearings).flatMap((i) => offsets.map((offset) => line((i * 360) / bearings, offset))),
    ),
    /** Length of each line on either side of its point nearest the fish, m. */
    half,
    longestCast,
    /** Returns the index in `tackle.lures` of the lure for a cast of a given length, m. */
    lureFor: tackle.lurePicker(fish.band.bottom),
    trail: emptyTrail(2 * half + 2),
    /** Cache of the best casts, by allowed landing depths, by line and by index of the boat. */
    best: new Map<string, Map<CastLine, (Candidate | undefined)[]>>(),
    isOpen,
  };
}

/** Returns the parameter `near` of `sampleLine` for a line at an offset, m. */
function densityAlong(fish: Fish, offset: number, half: number): Float64Array {
  const density = new Float64Array(2 * half + 1);
  for (let i = 0; i < density.length; i++) density[i] = placeWeight(fish, Math.hypot(i - half, offset));
  return density;
}

/** Finds the best cast by the dive tables from each promising boat position that a rule allows. */
export function findCandidates(space: SearchSpace, rule: CastRule, net = WIDE_NET): Candidate[] {
  const found: Candidate[] = [];
  let best = 0;
  const bestFrom = bestCasts(space, rule);
  for (const line of space.lines(net)) {
    if (!allowsBearing(rule, line.bearing)) continue;
    const { middle } = line;
    const first = Math.max(0, middle - Math.floor(space.longestCast(line.bearing)));
    const nearest = middle - offFish(space, line);
    for (let boat = first; boat <= nearest; boat += net.boatStep) {
      if (fishWithin(line, boat, line.near.length) < HOPELESS * best || !allowsBoat(space, rule, line, boat))
        continue;
      const one = bestFrom(line, boat);
      if (one === undefined) continue;
      found.push(one);
      best = Math.max(best, one.score * one.weight);
    }
  }
  return found;
}

/**
 * Returns a function that finds the best cast from a boat position. Results are cached by landing depths,
 * because no other part of a rule changes the best cast.
 */
function bestCasts(
  space: SearchSpace,
  rule: CastRule,
): (line: CastLine, boat: number) => Candidate | undefined {
  const key = `${rule.landing.top} to ${rule.landing.bottom}`;
  const known = space.best.get(key) ?? new Map<CastLine, (Candidate | undefined)[]>();
  space.best.set(key, known);
  return (line, boat) => {
    const onLine = known.get(line) ?? [];
    known.set(line, onLine);
    if (!(boat in onLine)) onLine[boat] = bestCast(space, rule, line, boat);
    return onLine[boat];
  };
}

/** Variations of a cast: turns of its line, deg, shifts of the line to the right and moves of the boat, m. */
const TURNS = [-7.5, 0, 7.5];
const SHIFTS = [-2, 0, 2];
const MOVES = [-2, -1, 0, 1, 2];

/** Finds the best casts from boat positions near a candidate's, on lines turned and shifted a little. */
export function refineCandidate(space: SearchSpace, rule: CastRule, one: Candidate): Candidate[] {
  const found: Candidate[] = [];
  const bestFrom = bestCasts(space, rule);
  for (const turn of TURNS) {
    const bearing = (one.line.bearing + turn + 360) % 360;
    if (!allowsBearing(rule, bearing)) continue;
    for (const shift of SHIFTS) {
      const offset = one.line.offset + shift;
      if (Math.abs(offset) > PASSING) continue;
      const line = space.line(bearing, offset);
      for (const move of MOVES) {
        const boat = one.boat + move;
        if (boat < line.middle - space.longestCast(bearing) || boat > line.middle - offFish(space, line))
          continue;
        if (!allowsBoat(space, rule, line, boat)) continue;
        const best = bestFrom(line, boat);
        if (best !== undefined) found.push(best);
      }
    }
  }
  return found;
}

/** Amounts by which an earlier cast may miss a rule and still be kept, m. */
const LEEWAY = { depth: 0.15, distance: 1 };

interface Place {
  readonly east: number;
  readonly north: number;
}

/** Makes a candidate from boat and landing; undefined for a cast not allowed even with `LEEWAY`. */
export function candidateBetween(
  space: SearchSpace,
  rule: CastRule,
  boat: Place,
  landing: Place,
): Candidate | undefined {
  const { fish } = space;
  const bearing = snap(bearingOf(landing.east - boat.east, landing.north - boat.north), 0.5) % 360;
  const length = snap(Math.hypot(landing.east - boat.east, landing.north - boat.north), 0.1);
  const [east, north] = [boat.east - fish.east, boat.north - fish.north];
  const rad = (bearing * Math.PI) / 180;
  const offset = snap(east * Math.cos(rad) - north * Math.sin(rad), 0.5);
  if (Math.abs(offset) > PASSING + LEEWAY.distance || !allowsBearing(rule, bearing)) return undefined;
  const line = space.line(bearing, offset);
  const at = line.middle + Math.round(east * Math.sin(rad) + north * Math.cos(rad));
  if (at < 0 || at > line.middle - offFish(space, line) + LEEWAY.distance) return undefined;
  const eased = {
    ...rule,
    boat: { top: rule.boat.top - LEEWAY.depth, bottom: rule.boat.bottom + LEEWAY.depth },
    landing: { top: rule.landing.top - LEEWAY.depth, bottom: rule.landing.bottom + LEEWAY.depth },
  };
  const cast = Math.min(length, space.longestCast(bearing));
  const isCastable =
    allowsBoat(space, eased, line, at) &&
    holdsDraft(space.grid, line, at, rule.draft) &&
    landsWell(eased, line, at, cast) &&
    cast >= shortestCast(space, line, at) - LEEWAY.distance &&
    clearReach(line, at, cast) === cast;
  if (!isCastable) return undefined;
  const lure = space.lureFor(cast);
  const weight = weightOf(lure, space.lureFor(space.longestCast(bearing)));
  return { line, boat: at, cast, lure, score: Number.NaN, weight };
}

/** Rounds to a multiple of `step`: a cast that was written to 1 cm must read back as the original. */
const snap = (value: number, step: number): number => Math.round(value / step) * step;

/** True on sounded bottom where zones and all limits of a rule for the boat's depth let the boat sit. */
function allowsBoat({ isOpen }: SearchSpace, rule: CastRule, line: CastLine, at: number): boolean {
  const { depth, sd, supported } = line;
  const here = depth[at];
  return (
    supported[at] === 1 &&
    isBoatDepth(rule, here, sd[at]) &&
    here - 2 * sd[at] >= rule.draft &&
    (isOpen === undefined || isOpen(...placeOn(line, at)))
  );
}

/** Returns the minimum distance along a line between the boat and the point nearest the fish, m. */
const offFish = ({ fish, tackle }: SearchSpace, { offset }: CastLine): number =>
  Math.ceil(Math.sqrt(Math.max(standOff(fish, tackle.longestCast) ** 2 - offset * offset, 0)));

/** Returns how far the water from the boat is sounded and deep enough for a retrieve, m, up to `longest`. */
function clearReach({ depth, supported }: CastLine, boat: number, longest: number): number {
  let reach = 0;
  while (
    reach < longest &&
    boat + reach + 1 < depth.length &&
    supported[boat + reach + 1] === 1 &&
    depth[boat + reach + 1] >= MIN_WATER
  )
    reach++;
  return Math.min(reach, longest);
}

/** Returns the shortest cast worth planning that goes past the fish, m. */
const shortestCast = ({ tackle }: SearchSpace, { middle }: CastLine, boat: number): number =>
  Math.max(Math.min(SHORTEST_CAST, SHORTEST_SHARE * tackle.longestCast), middle - boat + PAST_FISH);

const weightOf = (lure: number, usual: number): number => (lure > usual ? DEEPER_LURE_WEIGHT : 1);

function bestCast(space: SearchSpace, rule: CastRule, line: CastLine, boat: number): Candidate | undefined {
  const { fish, tackle, trail } = space;
  const longestCast = space.longestCast(line.bearing);
  const longest = clearReach(line, boat, longestCast);
  const shortest = shortestCast(space, line, boat);
  if (longest < shortest) return undefined;
  const usual = space.lureFor(longestCast);
  let best: Candidate | undefined;
  let most = Number.NEGATIVE_INFINITY;
  let lure = -1;
  let weight = 1;
  let reaches = false;
  // Start from the longest cast with an allowed landing: the steps below might skip a narrow landing.
  let start = longest;
  while (start >= shortest && !landsWell(rule, line, boat, start)) start--;
  // Two indices before the first cast and two after the last are for casts that go farther or fall short.
  for (let k = 2, cast = start; cast >= shortest && k < MAX_CASTS - 2; k++, cast /= CAST_RATIO) {
    if (weight * fishWithin(line, boat, cast * (1 + CAST_SPREAD)) <= most) break;
    if (!landsWell(rule, line, boat, cast)) continue;
    const chosen = space.lureFor(cast);
    // A lure that does not reach the fish scores 0, and the boat position stays a candidate.
    if (chosen !== lure) {
      lure = chosen;
      weight = weightOf(lure, usual);
      reaches = tackle.reach(lure, cast * (1 + CAST_SPREAD)) > fish.band.top - NEAR_BOTTOM;
      if (reaches) layTrail(trail, tackle.table(lure), line, boat, cast * (1 + CAST_SPREAD), fish);
    }
    const score = reaches ? meanScore(trail, k, cast) : 0;
    if (score * weight <= most) continue;
    most = score * weight;
    best = { line, boat, cast, lure, score, weight };
  }
  return best;
}

function landsWell({ landing }: CastRule, { depth }: CastLine, boat: number, cast: number): boolean {
  const there = depth[boat + Math.round(cast)];
  return there >= landing.top && there <= landing.bottom;
}

/**
 * Returns the sum of the density of the fish over a cast, m: an upper bound on the length among the fish of
 * this and of any shorter cast from the boat.
 */
const fishWithin = ({ fish }: CastLine, boat: number, cast: number): number =>
  fish[Math.min(boat + Math.floor(cast) + 1, fish.length - 1)] - fish[boat + 2];
