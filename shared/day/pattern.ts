import { sum } from 'd3-array';
import { clamp } from 'es-toolkit/math';
import type { DisplayUnits } from '../contract/index.ts';
import { plural } from '../text/index.ts';
import type { LoggedStop } from './day-log.ts';
import { dayWeight } from './learning.ts';
import type { FishingSpot } from './spots.ts';

/** Results of the logged days at one kind of spot, with counts that the user can check. */
export interface PatternLine {
  /** Structure word, or number of the depth band. */
  readonly kind: string | number;
  /** Number of stops with fish at spots of the kind. */
  readonly hits: number;
  readonly stops: number;
  /** Number of stops with fish at all spots. */
  readonly allHits: number;
  readonly allStops: number;
  /** Factor on the odds that fish bite at a spot of the kind; older days count less. */
  readonly odds: number;
}

/** Width of a depth band, m (5 ft). */
export const DEPTH_BAND = 1.524;
/** Factor on the difference in log-odds between the stops of a kind and all stops. */
const USED = 0.4;
/** Maximum change of a spot's log-odds by one kind, and by its kinds together. */
const MOST = 1.2;

/** Sums up the logged stops by structure and by depth band. @param date Day of the plan. */
export function patternLines(
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  date: string,
): PatternLine[] {
  const kinds = [...new Set(stops.flatMap(({ spot }) => kindsOf(spots[spot])))].sort(byKind);
  return kinds.map((kind) => lineOf(kind, spots, stops, date));
}

const byKind = (a: string | number, b: string | number): number =>
  typeof a === typeof b ? (a < b ? -1 : 1) : typeof a === 'string' ? -1 : 1;

/**
 * Returns the shift of a spot's log-odds by the logged results for its structure and depth band, -1.2 to 1.2.
 * The spot's own stops are left out, because `learn` counts them.
 */
export function patternShift(
  spot: number,
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  date: string,
): number {
  const others = stops.filter((stop) => stop.spot !== spot);
  const shift = sum(kindsOf(spots[spot]), (kind) => Math.log(lineOf(kind, spots, others, date).odds));
  return clamp(shift, -MOST, MOST);
}

function lineOf(
  kind: string | number,
  spots: readonly FishingSpot[],
  all: readonly LoggedStop[],
  date: string,
): PatternLine {
  const of = all.filter((stop) => kindsOf(spots[stop.spot]).includes(kind));
  const weigh = (stops: readonly LoggedStop[]): number => sum(stops, (stop) => dayWeight(stop.date, date));
  const [hits, allHits] = [of, all].map((stops) => stops.filter(({ fish }) => fish > 0));
  const base = (weigh(allHits) + 2.1) / (weigh(all) + 6);
  const rate = (weigh(hits) + 4 * base) / (weigh(of) + 4);
  const odds = Math.exp(clamp(USED * (logit(rate) - logit(base)), -MOST, MOST));
  const counts = { hits: hits.length, stops: of.length, allHits: allHits.length, allStops: all.length };
  return { kind, ...counts, odds };
}

const kindsOf = ({ structure, depth }: FishingSpot): (string | number)[] =>
  [structure, depth === undefined ? undefined : Math.floor(depth / DEPTH_BAND)].filter(
    (kind) => kind !== undefined,
  );

export const logit = (share: number): number => Math.log(share / (1 - share));

/** Adds `shift` to the log-odds of a chance; the chances 0 and 1 do not change. */
export function shiftChance(chance: number, shift: number): number {
  if (chance <= 0 || chance >= 1) return chance;
  return 1 / (1 + Math.exp(-(logit(chance) + shift)));
}

/** Returns text such as `ledge: 4 of 5 stops gave fish, all stops 6 of 14: odds x 1.4`. */
export function patternLineText(line: PatternLine, units: DisplayUnits): string {
  const { allHits, allStops, odds } = line;
  return `${patternCountText(line, units)}, all stops ${allHits} of ${allStops}: odds x ${odds.toFixed(1)}`;
}

/** Returns text such as `ledge: 4 of 5 stops gave fish`. */
export function patternCountText({ kind, hits, stops }: PatternLine, units: DisplayUnits): string {
  const what = typeof kind === 'string' ? kind : bandText(kind, units);
  return `${what}: ${hits} of ${plural(stops, 'stop')} gave fish`;
}

/** Returns text such as `20-25 ft` or `6.1-7.6 m`. @param band Number of the depth band. */
export const bandText = (band: number, units: DisplayUnits): string =>
  units === 'ft'
    ? `${band * 5}-${band * 5 + 5} ft`
    : `${(band * DEPTH_BAND).toFixed(1)}-${((band + 1) * DEPTH_BAND).toFixed(1)} m`;
