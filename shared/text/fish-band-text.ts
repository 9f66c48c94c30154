import type { DepthRange } from '../contract/options.ts';
import { type DisplayUnits, type LengthUnit, toMeters } from '../geo/units.ts';

/** Depth units by the way people write them. */
const UNITS: readonly (readonly [LengthUnit, string])[] = [
  ['ft', "feet|foot|ft\\b\\.?|['\u2018\u2019\u2032\u00b4]"],
  ['m', 'met(?:er|re)s?|mtrs?\\b\\.?|m\\b\\.?'],
  ['fm', 'fathoms?|fms?\\b\\.?'],
];
const UNIT = UNITS.map(([, pattern]) => `(?:${pattern})`).join('|');
const NUMBER = '\\d{1,3}(?:[.,]\\d{1,2})?';
const JOIN = '-{1,2}|[\u2010-\u2015\u2212~]|\\.{2,3}|\u2026|to|thru|through|til|till|until|and|down\\s+to';

/** Two numbers with something between that makes them a range, each with or without a unit. */
const RANGE = new RegExp(
  `(?<![\\d.,:/\\\\-]|\\d\\s)(${NUMBER})\\s*(${UNIT})?\\s*(${JOIN})\\s*(${NUMBER})\\s*(${UNIT})?`,
  'gi',
);

/** A number like this goes on: dates, clock times, part numbers. */
const GOES_ON = /^(?:[/:\\-]\d|[.,]\d|\d)/;
/** Words after a range that say it counts something else. */
const OTHER_UNIT =
  /^\s*(?:lbs?|pounds?|pounders?|oz|ounces?|kgs?|grams?|g|in|inch(?:es)?|"|cm|mm|km|miles?|mi|yds?|yards?|mph|kn|knots?|kph|hrs?|hours?|h|mins?|minutes?|secs?|seconds?|days?|weeks?|am|pm|o'?clock|deg(?:rees)?|\u00b0|%|f|c|casts?|bites?|keepers?|fish(?:es)?|bass|times?|x|per)\b/i;
const OTHER_SIGN = /^\s*["\u00b0%]/;
/** Words before a range that say it is the fish's, and that it is something else's. */
const FISH = /\b(?:fish(?:es)?|bass|schools?|schooled|schooling|suspend(?:ed|ing|s)?)(?![a-z])/i;
const OTHER_THING =
  /\b(?:boat|sit|cast(?:s|ing)?|land(?:s|ing)?|line|lure|diver|label(?:l?ed)?|wind|caught|lost|missed|bottom|water|top|tops|base|drop(?:s|ping)?|falls?|over)\b/i;

/** m; deeper than this nobody fishes a diving lure, and a range is a slip or another thing. */
const DEEPEST = 100;

/**
 * Depth band of the fish from what a person wrote at a waypoint.
 *
 * A range counts when it has a depth unit ("9-12ft", "4.5 to 6 m") or follows a word for fish ("fish 14-19", in
 * `units`). A range said of the fish goes before any other, and one said of something else (boat, bottom) goes last.
 * Dates, clock times, counts, weights and single numbers are no ranges.
 *
 * @param texts In the order in which they count.
 * @returns m, top < bottom; undefined when no text has one.
 */
export function fishBandOf(texts: readonly string[], units: DisplayUnits): DepthRange | undefined {
  let best: { band: DepthRange; rank: number } | undefined;
  for (const text of texts) {
    for (const found of rangesIn(text, units)) if (best === undefined || found.rank > best.rank) best = found;
    if (best !== undefined && best.rank === 2) break;
  }
  return best?.band;
}

/** Ranges of one text with their rank: 2 said of the fish, 1 of nothing, 0 of something else. */
function rangesIn(text: string, units: DisplayUnits): { band: DepthRange; rank: number }[] {
  const found: { band: DepthRange; rank: number }[] = [];
  let from = 0;
  for (const match of text.matchAll(RANGE)) {
    const [whole, first, firstUnit, join, second, secondUnit] = match;
    const before = text.slice(from, match.index);
    const after = text.slice(match.index + whole.length);
    from = match.index + whole.length;
    if (GOES_ON.test(after)) continue;
    // What is said of a range stands in its own clause.
    const clause = before.split(/[;!?\n]|\.\s|,\s/).at(-1) ?? '';
    const isFish = FISH.test(clause);
    const isBetween = /\bbetween\s*$/i.test(clause);
    if (/^and$/i.test(join) && !isBetween) continue;
    const hasUnit = firstUnit !== undefined || secondUnit !== undefined;
    if (!hasUnit && (!isFish || isDateLike(first, second))) continue;
    if (secondUnit === undefined && (OTHER_UNIT.test(after) || OTHER_SIGN.test(after))) continue;
    const band = bandOf([first, firstUnit], [second, secondUnit], units);
    if (band === undefined) continue;
    found.push({ band, rank: isFish ? 2 : OTHER_THING.test(clause) ? 0 : 1 });
  }
  return found;
}

/** `06-12` is a day, not a depth. */
const isDateLike = (first: string, second: string): boolean => /^0\d/.test(first) || /^0\d/.test(second);

function bandOf(
  [first, firstUnit]: [string, string | undefined],
  [second, secondUnit]: [string, string | undefined],
  units: DisplayUnits,
): DepthRange | undefined {
  const lastUnit = unitOf(secondUnit ?? firstUnit) ?? units;
  const one = toMeters(numberOf(first), unitOf(firstUnit) ?? lastUnit);
  const other = toMeters(numberOf(second), lastUnit);
  const [top, bottom] = [Math.min(one, other), Math.max(one, other)];
  return bottom > top && bottom <= DEEPEST ? { top, bottom } : undefined;
}

const numberOf = (text: string): number => Number(text.replace(',', '.'));

const unitOf = (text: string | undefined): LengthUnit | undefined =>
  text === undefined
    ? undefined
    : UNITS.find(([, pattern]) => new RegExp(`^(?:${pattern})$`, 'i').test(text))?.[0];
