import type { KnownBottom } from '../../fixtures/lakes/bottom.ts';
import type { CastLine } from '../../shared/retrieve/cast-lines.ts';
import { type CastRule, LEAST_WATER, PAST_FISH, standOff } from '../../shared/retrieve/cast-rules.ts';
import { depthWeight, type Fish, placeWeight } from '../../shared/retrieve/fish.ts';
import { judgeCast, TACKLE_PERTURBATIONS } from '../../shared/retrieve/judge.ts';
import { simulateRetrieve } from '../../shared/retrieve/retrieve.ts';
import type { Scratch, Tackle } from '../../shared/retrieve/tackle.ts';
import { NEAR_BOTTOM, nearBottom } from '../../shared/retrieve/touch.ts';

/** Lines tried: bearings, and offsets from the mark, m; boats and casts along them, m. */
const BEARINGS = 36;
const OFFSETS = [-4.5, -2.25, 0, 2.25, 4.5];
const BOAT_STEP = 2;
const CAST_STEP = 3;
const SHORTEST = 12;
/** Casts that are judged under the full perturbation. */
const JUDGED = 60;

export interface BestCast {
  readonly fishContact: number;
  /** The same among casts with the lure of the longest cast only. */
  readonly sameLure: number;
}

/** A line on a known bottom, every point of it sounded. */
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

/**
 * The best cast of a rule on a known bottom: every bearing, boat position and cast is run through the retrieve model,
 * and the best of them under the full perturbation of cast and lure depth. No table, no screening by formula.
 */
export function bestCastOn(
  bottom: KnownBottom,
  rule: CastRule,
  fish: Fish,
  tackle: Tackle,
  room: Scratch,
): BestCast | undefined {
  const longest = tackle.longestCast;
  const lureFor = tackle.lurePicker(fish.band.bottom);
  const usual = lureFor(longest);
  const found: { line: CastLine; boat: number; cast: number; lure: number; length: number }[] = [];
  for (let k = 0; k < BEARINGS; k++) {
    for (const offset of OFFSETS) {
      const bearing = (360 / BEARINGS) * k;
      const rad = (bearing * Math.PI) / 180;
      const line = knownLine(
        bottom,
        fish,
        bearing,
        [offset * Math.cos(rad), -offset * Math.sin(rad)],
        46,
        56,
      );
      const weight = line.near.map((near, i) => near * depthWeight(fish, line.depth[i]));
      const nearest = line.middle - Math.ceil(Math.sqrt(standOff(longest) ** 2 - offset * offset));
      for (let boat = nearest; boat >= line.middle - longest && boat >= 0; boat -= BOAT_STEP) {
        if (line.depth[boat] < rule.boat.top || line.depth[boat] > rule.boat.bottom) continue;
        const profile = { spacing: 1, depth: line.depth.subarray(boat) };
        for (
          let cast = longest;
          cast >= Math.max(SHORTEST, line.middle - boat + PAST_FISH);
          cast -= CAST_STEP
        ) {
          const landing = line.depth[boat + Math.round(cast)];
          if (!(landing >= rule.landing.top && landing <= rule.landing.bottom)) continue;
          if (!isClear(line.depth, boat, boat + Math.round(cast))) continue;
          const lure = lureFor(cast);
          const setup = { cast, line: tackle.line, lure: tackle.lures[lure].drag, handling: tackle.handling };
          simulateRetrieve(setup, profile, 2, room.path, room.work);
          const length = nearBottom(room.path, profile, NEAR_BOTTOM, weight.subarray(boat)).weighted;
          found.push({ line, boat, cast, lure, length });
        }
      }
    }
  }
  if (found.length === 0) return undefined;
  const best = (some: typeof found): number =>
    some
      .sort((a, b) => b.length - a.length)
      .slice(0, JUDGED)
      .map((one) => ({ ...one, lure: tackle.lures[one.lure].drag }))
      .map((one) => judgeCast(one, fish, tackle, 1, room, TACKLE_PERTURBATIONS).fishContact)
      .reduce((most, one) => Math.max(most, one), 0);
  return { fishContact: best(found), sameLure: best(found.filter(({ lure }) => lure === usual)) };
}

function isClear(depth: Float64Array, from: number, to: number): boolean {
  for (let i = from; i <= to; i++) if (depth[i] < LEAST_WATER) return false;
  return true;
}
