import type { DisplayUnits } from '../contract/index.ts';
import type { LoggedStop } from './day-log.ts';
import type { FishingSpot } from './spots.ts';

/** What the last logged day says of one kind of spot, with counts that a person can check. */
export interface PatternLine {
  /** Structure word, or the number of its depth band. */
  readonly kind: string | number;
  readonly hits: number;
  readonly stops: number;
  readonly dayHits: number;
  readonly dayStops: number;
  /** Factor on the odds. */
  readonly odds: number;
}

/** m; 5 ft. */
const BAND = 1.524;
/** Log-odds: part of the difference that is used, and the most either way. */
const USED = 0.4;
const MOST = 1.2;

/** Stops of the last day in a log. */
function lastDay(stops: readonly LoggedStop[]): LoggedStop[] {
  const last = stops
    .map(({ date }) => date)
    .sort()
    .at(-1);
  return stops.filter(({ date }) => date === last);
}

/** Structure and depth band of every spot of the last day, by how its stops did. */
export function patternLines(spots: readonly FishingSpot[], stops: readonly LoggedStop[]): PatternLine[] {
  const day = lastDay(stops);
  const kinds = [...new Set(day.flatMap(({ spot }) => kindsOf(spots[spot])))].sort(byKind);
  return kinds.map((kind) => lineOf(kind, spots, day));
}

const byKind = (a: string | number, b: string | number): number =>
  typeof a === typeof b ? (a < b ? -1 : 1) : typeof a === 'string' ? -1 : 1;

/**
 * Log-odds that the last day's pattern adds to a spot, at most 1.2 either way.
 *
 * The spot's own stops are left out: they speak for themselves.
 */
export function patternShift(
  spot: number,
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
): number {
  const others = lastDay(stops.filter((stop) => stop.spot !== spot));
  if (others.length === 0) return 0;
  const shift = kindsOf(spots[spot]).reduce<number>(
    (sum, kind) => sum + Math.log(lineOf(kind, spots, others).odds),
    0,
  );
  return Math.min(MOST, Math.max(-MOST, shift));
}

function lineOf(
  kind: string | number,
  spots: readonly FishingSpot[],
  day: readonly LoggedStop[],
): PatternLine {
  const of = day.filter((stop) => kindsOf(spots[stop.spot]).includes(kind));
  const hits = of.filter(({ fish }) => fish > 0).length;
  const dayHits = day.filter(({ fish }) => fish > 0).length;
  const base = (dayHits + 2.1) / (day.length + 6);
  const rate = (hits + 4 * base) / (of.length + 4);
  const shift = Math.min(MOST, Math.max(-MOST, USED * (logit(rate) - logit(base))));
  return { kind, hits, stops: of.length, dayHits, dayStops: day.length, odds: Math.exp(shift) };
}

function kindsOf({ structure, depth }: FishingSpot): (string | number)[] {
  const kinds: (string | number)[] = structure === undefined ? [] : [structure];
  if (depth !== undefined) kinds.push(Math.floor(depth / BAND));
  return kinds;
}

const logit = (share: number): number => Math.log(share / (1 - share));

/** A chance after a shift of its log-odds. */
export function shiftChance(chance: number, shift: number): number {
  if (chance <= 0 || chance >= 1) return chance;
  return 1 / (1 + Math.exp(-(logit(chance) + shift)));
}

/** `ledge: 4 of 5 stops gave fish, day 6 of 14: odds x 1.4`; depth bands in the person's unit. */
export function patternText(line: PatternLine, units: DisplayUnits): string {
  const { kind, hits, stops, dayHits, dayStops, odds } = line;
  const what = typeof kind === 'string' ? kind : bandText(kind, units);
  return `${what}: ${hits} of ${stops} stops gave fish, day ${dayHits} of ${dayStops}: odds x ${odds.toFixed(1)}`;
}

const bandText = (band: number, units: DisplayUnits): string =>
  units === 'ft'
    ? `${band * 5}-${band * 5 + 5} ft`
    : `${(band * BAND).toFixed(1)}-${((band + 1) * BAND).toFixed(1)} m`;
