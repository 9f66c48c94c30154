import type { DepthGrid } from '../bottom/model.ts';
import type { DepthRange } from '../contract/options.ts';
import { type CastLine, sampleLine } from './cast-lines.ts';
import { allowsBearing, type CastRule, LEAST_WATER, PASSING } from './cast-rules.ts';
import { castThrough, type DiveTable, diveTable } from './dive-table.ts';
import type { Scratch, Tackle } from './tackle.ts';
import { NEAR_BOTTOM } from './touch.ts';

/** Directions tried, and lines to each, m beside the mark. */
const BEARINGS = 24;
const OFFSETS = [-4, 0, 4];

/** m between boat positions tried on a line, and between lengths of cast. */
const BOAT_STEP = 3;
const CAST_STEP = 4;
/** Shortest cast worth planning, m. */
export const SHORTEST_CAST = 12;
/** How far a cast may fall short or go over, as a share of it: 10 %. */
export const CAST_SPREAD = 0.1;
/** How far a lure may run shallower or deeper than computed, as a share: 8 %. */
export const DEPTH_SPREAD = 0.08;

/** One boat position with one cast. */
export interface Candidate {
  readonly line: CastLine;
  /** Place of the boat in the line's arrays. */
  readonly boat: number;
  /** m. */
  readonly cast: number;
  /** Place of the lure in the tackle. */
  readonly lure: number;
  /** Length of retrieve on bottom inside the band by the dive tables, mean over casts that fall short and go over, m. */
  readonly score: number;
  /** Share at which its contact counts against others': below 1 for a lure deeper than the longest cast needs. */
  readonly weight: number;
}

/**
 * A shorter cast needs a deeper lure, which touches more but ploughs and snags: it has to hold bottom two fifths
 * longer to be chosen before the shallowest lure that does on the longest cast.
 */
const DEEPER_LURE_WEIGHT = 1 / 1.4;

/** What a search looks at: one mark's bottom, band and tackle, with what was computed of them. */
export interface SearchSpace {
  readonly grid: DepthGrid;
  readonly band: DepthRange;
  readonly tackle: Tackle;
  readonly scratch: Scratch;
  readonly lines: readonly CastLine[];
  /** Longest cast by bearing, m: wind lengthens and shortens it. */
  longestCast(bearing: number): number;
  /** Dive table of a lure, by its place in the tackle. */
  table(lure: number): DiveTable;
}

/** Lines all round a mark and the tables of the lures, computed when asked for. */
export function searchSpace(
  grid: DepthGrid,
  band: DepthRange,
  tackle: Tackle,
  scratch: Scratch,
  longestCast: (bearing: number) => number = () => tackle.longestCast,
): SearchSpace {
  let longest = 0;
  for (let i = 0; i < BEARINGS; i++) longest = Math.max(longest, longestCast((i * 360) / BEARINGS));
  const half = longest * (1 + CAST_SPREAD) + 2;
  const lines: CastLine[] = [];
  for (let i = 0; i < BEARINGS; i++)
    for (const offset of OFFSETS) lines.push(sampleLine(grid, (i * 360) / BEARINGS, offset, half));
  const tables = new Map<number, DiveTable>();
  const table = (lure: number): DiveTable => {
    let known = tables.get(lure);
    if (known === undefined) {
      known = diveTable(tackle, tackle.lures[lure].drag, 1.3 * longest, scratch);
      tables.set(lure, known);
    }
    return known;
  };
  return { grid, band, tackle, scratch, lines, longestCast, table };
}

/**
 * Candidates of a rule all round the mark, best first, at most one for each boat position.
 *
 * Every boat position and cast that the rule and the bottom allow is scored by the dive tables.
 */
export function findCandidates(space: SearchSpace, rule: CastRule, most: number): Candidate[] {
  const found: Candidate[] = [];
  for (const line of space.lines) {
    if (!allowsBearing(rule, line.bearing)) continue;
    scanLine(space, rule, line, found);
  }
  return found.sort((a, b) => b.score * b.weight - a.score * a.weight).slice(0, most);
}

/** Turns and shifts of the line, and moves of the boat, by which a cast is refined: deg, m, m. */
const TURNS = [-7.5, 0, 7.5];
const SHIFTS = [-2, 0, 2];
const MOVES = [-2, -1, 0, 1, 2];
const REFINED_CAST_STEP = 2;

/** Candidates near one: lines turned and shifted a little, boat moved a little; best first. */
export function refineCandidate(
  space: SearchSpace,
  rule: CastRule,
  one: Candidate,
  most: number,
): Candidate[] {
  const found: Candidate[] = [];
  for (const turn of TURNS) {
    const bearing = (one.line.bearing + turn + 360) % 360;
    if (!allowsBearing(rule, bearing)) continue;
    for (const shift of SHIFTS) {
      const offset = one.line.offset + shift;
      if (Math.abs(offset) > PASSING) continue;
      const line =
        turn === 0 && shift === 0 ? one.line : sampleLine(space.grid, bearing, offset, one.line.middle);
      for (const move of MOVES) {
        const boat = one.boat + move;
        if (boat < line.middle - space.longestCast(bearing) || boat > line.middle) continue;
        if (!allowsBoat(rule, line, boat)) continue;
        const best = bestCast(space, rule, line, boat, REFINED_CAST_STEP);
        if (best !== undefined) found.push(best);
      }
    }
  }
  return found.sort((a, b) => b.score * b.weight - a.score * a.weight).slice(0, most);
}

/** Boat positions along one line; the best cast of each goes to the list. */
function scanLine(space: SearchSpace, rule: CastRule, line: CastLine, found: Candidate[]): void {
  const longest = space.longestCast(line.bearing);
  const { middle } = line;
  const first = Math.max(0, middle - Math.floor(longest));
  for (let boat = first; boat <= middle; boat += BOAT_STEP) {
    if (!allowsBoat(rule, line, boat)) continue;
    const best = bestCast(space, rule, line, boat, CAST_STEP);
    if (best !== undefined) found.push(best);
  }
}

/** True where the rule lets the boat sit, with two standard deviations of depth to spare over the draft. */
function allowsBoat(
  { boat: water, draft }: CastRule,
  { depth, sd, supported }: CastLine,
  at: number,
): boolean {
  const here = depth[at];
  return supported[at] === 1 && here >= water.top && here <= water.bottom && here - 2 * sd[at] >= draft;
}

/** Distance from the boat over which the bottom is sounded and deep enough to retrieve over, m. */
function clearReach({ depth, supported }: CastLine, boat: number, longest: number): number {
  let reach = 0;
  while (
    reach < longest &&
    boat + reach + 1 < depth.length &&
    supported[boat + reach + 1] === 1 &&
    depth[boat + reach + 1] >= LEAST_WATER
  )
    reach++;
  return Math.min(reach, longest);
}

/**
 * The best cast from one boat position, judged by the dive tables: the mean over casts short, as meant and over.
 *
 * @param step m between casts tried.
 */
function bestCast(
  space: SearchSpace,
  rule: CastRule,
  line: CastLine,
  boat: number,
  step: number,
): Candidate | undefined {
  const { band, tackle } = space;
  const longest = clearReach(line, boat, space.longestCast(line.bearing));
  const shortest = Math.max(SHORTEST_CAST, line.middle - boat);
  const usual = tackle.lures[tackle.lureFor(band.bottom, space.longestCast(line.bearing))].label;
  let best: Candidate | undefined;
  let lure = -1;
  let follow: Follower | undefined;
  for (let cast = longest; cast >= shortest; cast -= step) {
    const landing = line.depth[boat + Math.round(cast)];
    if (!(landing >= rule.landing.top && landing <= rule.landing.bottom)) continue;
    const chosen = tackle.lureFor(band.bottom, cast);
    if (follow === undefined || chosen !== lure) {
      lure = chosen;
      follow = follower(space.table(lure), line, boat, cast * (1 + CAST_SPREAD), band);
    }
    const score = (follow(cast) + follow(cast * (1 - CAST_SPREAD)) + follow(cast * (1 + CAST_SPREAD))) / 3;
    const weight = tackle.lures[lure].label > usual ? DEEPER_LURE_WEIGHT : 1;
    if (best === undefined || score * weight > best.score * best.weight)
      best = { line, boat, cast, lure, score, weight };
  }
  return best;
}

/** Length of a retrieve near the bottom inside the band, m, by its cast, m. */
export type Follower = (cast: number) => number;

/**
 * Follows retrieves from one boat position by a dive table.
 *
 * The cast whose free path the lure is on stays the same in free water and falls to the bottom's where that holds it up.
 */
export function follower(
  table: DiveTable,
  line: CastLine,
  boat: number,
  longest: number,
  band: DepthRange,
): Follower {
  const count = Math.min(Math.floor(longest) + 1, line.depth.length - boat);
  const onBottom = new Float64Array(count);
  const nearBottom = new Float64Array(count);
  const inside = new Uint8Array(count);
  let depth = LEAST_WATER;
  for (let i = 0; i < count; i++) {
    const ground = line.depth[boat + i];
    // Beyond the modelled bottom it goes on as it is.
    if (!Number.isNaN(ground)) depth = Math.max(ground, 0);
    onBottom[i] = castThrough(table, i, depth);
    nearBottom[i] = castThrough(table, i, Math.max(depth - NEAR_BOTTOM, 0));
    inside[i] = depth >= band.top && depth <= band.bottom ? 1 : 0;
  }
  return (cast) => {
    let run = cast;
    let length = 0;
    for (let i = Math.min(Math.floor(cast), count - 1); i >= 2; i--) {
      if (run >= nearBottom[i]) length += inside[i];
      if (run > onBottom[i]) run = onBottom[i];
    }
    return length;
  };
}
