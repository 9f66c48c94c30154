import type { KnownBottom } from '../../fixtures/lakes/bottom.ts';
import type { CastLine } from '../../shared/retrieve/cast-lines.ts';
import { type CastRule, MIN_WATER, PAST_FISH } from '../../shared/retrieve/cast-rules.ts';
import { depthWeight, type Fish, placeWeight } from '../../shared/retrieve/fish.ts';
import { judgeCast, TACKLE_PERTURBATIONS } from '../../shared/retrieve/judge.ts';
import { simulateRetrieve } from '../../shared/retrieve/retrieve.ts';
import type { Tackle } from '../../shared/retrieve/tackle.ts';
import { clearanceAt, countedLength, NEAR_BOTTOM } from '../../shared/retrieve/touch.ts';

/** Number of bearings searched. */
const BEARINGS = 36;
/** Sideways offsets of the searched lines from the fish, m. */
const OFFSETS = [-4.5, -2.25, 0, 2.25, 4.5];
/** Step between boat positions along a line, m. */
const BOAT_STEP = 2;
/** Step between cast lengths, m. */
const CAST_STEP = 3;
/** Minimum cast length, m. */
const SHORTEST = 12;
/** Maximum number of casts judged with all perturbations. */
const JUDGED = 60;

/**
 * Makes a cast line on a known bottom, with a supported point every meter, from `back` behind a point to
 * `ahead`.
 */
export function knownLine(
  bottom: KnownBottom,
  fish: Fish,
  bearing: number,
  [east, north]: readonly [number, number],
  back: number,
  ahead: number,
): CastLine {
  const rad = (bearing * Math.PI) / 180;
  const direction = [Math.sin(rad), Math.cos(rad)] as const;
  const count = back + ahead + 1;
  const place = (i: number): [number, number] => [
    east + (i - back) * direction[0],
    north + (i - back) * direction[1],
  ];
  return {
    bearing,
    offset: 0,
    direction,
    middle: back,
    origin: [east, north],
    depth: Float64Array.from({ length: count }, (_, i) => bottom.depth(...place(i))),
    sd: new Float64Array(count),
    supported: new Uint8Array(count).fill(1),
    near: Float64Array.from({ length: count }, (_, i) => placeWeight(fish, Math.hypot(...place(i)))),
    fish: new Float64Array(count + 1),
  };
}

interface Tried {
  readonly line: CastLine;
  readonly boat: number;
  readonly cast: number;
  readonly lure: number;
  readonly length: number;
}

/**
 * Returns the contact of a cast among fish at the mark on a known bottom, m, averaged over all perturbations
 * of cast and lure depth.
 */
export const contactOn = (one: Omit<Tried, 'length'>, fish: Fish, tackle: Tackle): number =>
  judgeCast(one, fish, tackle, undefined, TACKLE_PERTURBATIONS).among;

/** Contact of the best casts, m; 0 where there is none. */
export interface BestContact {
  /** With the lure that suits the longest cast. */
  readonly usualLure: number;
  /** With any cast and the lure that suits it. */
  readonly anyLure: number;
}

/**
 * Finds the contact of the best casts for each rule on a known bottom.
 *
 * Runs every bearing, boat position and cast through the retrieve model, and judges the best casts with all
 * perturbations of cast and lure depth. Uses no tables and no screening formulas.
 *
 * @param standOff Minimum distance of the boat from the fish, m.
 */
export function bestContacts(
  bottom: KnownBottom,
  rules: readonly CastRule[],
  standOff: number,
  fish: Fish,
  tackle: Tackle,
): BestContact[] {
  const found: Tried[][] = rules.map(() => []);
  for (let k = 0; k < BEARINGS; k++) {
    for (const offset of OFFSETS) {
      const bearing = (360 / BEARINGS) * k;
      const rad = (bearing * Math.PI) / 180;
      const side = [offset * Math.cos(rad), -offset * Math.sin(rad)] as const;
      const line = knownLine(bottom, fish, bearing, side, 46, 56);
      for (const one of castsOn(line, offset, standOff, tackle)) {
        const water = line.depth[one.boat];
        const landing = line.depth[one.boat + Math.round(one.cast)];
        const allowed = rules.map(
          (rule) =>
            water >= rule.boat.top &&
            water <= rule.boat.bottom &&
            landing >= rule.landing.top &&
            landing <= rule.landing.bottom,
        );
        if (!allowed.includes(true) || !isClear(line.depth, one.boat, one.boat + Math.round(one.cast)))
          continue;
        const lure = tackle.lurePicker(fish.band.bottom)(one.cast);
        const length = lengthOf({ line, lure, ...one }, fish, tackle);
        allowed.forEach((isAllowed, rule) => {
          if (isAllowed) found[rule].push({ line, lure, length, ...one });
        });
      }
    }
  }
  const usual = tackle.lurePicker(fish.band.bottom)(tackle.longestCast);
  const best = (some: readonly Tried[]): number =>
    [...some]
      .sort((a, b) => b.length - a.length)
      .slice(0, JUDGED)
      .map((one) => contactOn(one, fish, tackle))
      .reduce((most, one) => Math.max(most, one), 0);
  return found.map((some) => ({
    usualLure: best(some.filter(({ lure }) => lure === usual)),
    anyLure: best(some),
  }));
}

/** Yields boat positions and casts on one line. */
function* castsOn(
  line: CastLine,
  offset: number,
  standOff: number,
  { longestCast }: Tackle,
): Generator<{ boat: number; cast: number }> {
  const nearest = line.middle - Math.ceil(Math.sqrt(Math.max(standOff ** 2 - offset ** 2, 0)));
  for (let boat = nearest; boat >= line.middle - longestCast && boat >= 0; boat -= BOAT_STEP)
    for (
      let cast = longestCast;
      cast >= Math.max(SHORTEST, line.middle - boat + PAST_FISH);
      cast -= CAST_STEP
    )
      yield { boat, cast };
}

/** Returns the length of retrieve near the bottom, m, weighted by the fish there, without perturbations. */
function lengthOf({ line, boat, cast, lure }: Omit<Tried, 'length'>, fish: Fish, tackle: Tackle): number {
  const { path, work } = tackle.scratch;
  const profile = { spacing: 1, depth: line.depth.subarray(boat) };
  const setup = { cast, line: tackle.line, lure: tackle.lures[lure].drag, handling: tackle.handling };
  simulateRetrieve(setup, profile, 2, path, work);
  const density = line.near.map((near, i) => near * depthWeight(fish, line.depth[i])).subarray(boat);
  const gapAt = (i: number): number => clearanceAt(path, profile, i) - NEAR_BOTTOM;
  return countedLength(path, gapAt, { spacing: 1, depth: density }).weighted;
}

function isClear(depth: Float64Array, from: number, to: number): boolean {
  for (let i = from; i <= to; i++) if (depth[i] < MIN_WATER) return false;
  return true;
}
