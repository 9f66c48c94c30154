import type { DepthRange } from '../contract/options.ts';
import { METERS_PER } from '../geo/units.ts';
import { placeOn } from './cast-lines.ts';
import { type CastRule, turnBetween } from './cast-rules.ts';
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

/** Preferences within a tie, as shares of the contact: together less than the tables are sure of. */
const FALL_LINE_WEIGHT = 0.04;
const LANDING_WEIGHT = 0.03;
/** Against a boat that sits over the mark rather than off it, and against a hazard under the cast. */
const OVER_MARK_WEIGHT = 0.08;
const HAZARD_WEIGHT = 0.1;
/** Against a boat so near the rule's edge that the model's error may put it among the fish: this far from it it is clear. */
const EDGE_WEIGHT = 0.12;
/** m, and standard deviations of the depth. */
const CLEAR_OF_EDGE = 0.3;
const SURELY_CLEAR = 1.5;
/** The boat is off the mark from this distance on, m. */
const OFF_MARK = 12;
/** For contact at all the depths of the band. */
const SPAN_WEIGHT = 0.2;
/** A landing is near the band's edge within this depth of it, m: 2 ft. */
const NEAR_EDGE = 2 * METERS_PER.ft;

export interface Preferences {
  /** Bearing of a cast straight along the fall line, deg; absent on ground without one. */
  readonly fallLine?: number;
  /** Further share of the contact by which a bearing is preferred, about -0.05 to 0.05. */
  readonly byBearing?: (bearing: number) => number;
  /** Hazards that the person marked, to be kept from under the cast where another is as good. */
  readonly hazards?: readonly Hazard[];
}

/**
 * The cast of a rule that is expected to hold the lure on bottom inside the band longest, robustly.
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
  const { band, grid } = space;
  const worth = (one: Candidate, contact: number): number => worthOf(contact, one, rule, band, preferences);
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
  const { tackle, band, scratch } = space;
  const cast = { ...candidate, lure: tackle.lures[candidate.lure].drag };
  return { ...candidate, ...judgeCast(cast, band, tackle, wave, scratch) };
}

/** Contact with the preferences that decide between near equals. */
function worthOf(
  contact: number,
  cast: Candidate,
  rule: CastRule,
  band: DepthRange,
  preferences: Preferences,
): number {
  const { fallLine, byBearing } = preferences;
  const off = fallLine === undefined ? 0 : Math.min(turnBetween(cast.line.bearing, fallLine), 90) / 90;
  const landing = cast.line.depth[cast.boat + Math.round(cast.cast)];
  const beyond = Math.max(band.top - landing, landing - band.bottom, 0);
  const far = Math.min(Math.max(beyond - NEAR_EDGE, 0) / NEAR_EDGE, 1);
  const over = Math.max(1 - (cast.line.middle - cast.boat) / OFF_MARK, 0);
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
      FALL_LINE_WEIGHT * off * off -
      LANDING_WEIGHT * far -
      OVER_MARK_WEIGHT * over -
      EDGE_WEIGHT * edge +
      wanted)
  );
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
