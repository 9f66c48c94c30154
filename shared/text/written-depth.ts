import { type DisplayUnits, type LengthUnit, toMeters } from '../contract/index.ts';

const UNITS: readonly (readonly [LengthUnit, string])[] = [
  ['ft', "feet|foot|ft(?![a-z])\\.?|['`]"],
  ['m', 'met(?:er|re)s?|mtrs?(?![a-z])\\.?|m(?![a-z])\\.?'],
  ['fm', 'fathoms?|fms?(?![a-z])\\.?'],
];
const UNIT = UNITS.map(([, pattern]) => `(?:${pattern})`).join('|');
const NUMBER = '\\d{1,3}(?:[.,]\\d{1,2})?(?!\\d)';
const JOIN = '-{1,2}|~|\\.{2,3}|\u2026|to|thru|through|til|till|until|down\\s+to';
const RANGE_OR_ONE = `${NUMBER}(?:\\s*(?:${JOIN})\\s*${NUMBER})?`;
const MONTH =
  'jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?';
/** `in` means inches only when it is not a preposition, judging by what follows. */
const OTHER_UNIT =
  'lbs?|pounds?|pounders?|lbers?|oz|ounces?|kgs?|grams?|g|inch(?:es)?|in(?=\\s*(?:$|[,.;!?)]|long\\b|fish|bass))|cm|mm|km|miles?|mi|yds?|yards?|mph|kn|kts?|knots?|kph|hrs?|hours?|h|mins?|minutes?|secs?|seconds?|days?|weeks?|months?|years?|yrs?|[ap]\\.?m|o.clock|deg(?:rees)?|f|c|percent|x|per';
const COUNTED =
  'fish(?:es)?|bass|keepers?|bites|hits|strikes|ones|smallmouths?|largemouths?|smallies|casts?|times|boats?|stumps|trees|rods|lures';
const ADJECTIVE = '(?:(?:good|big|nice|small|short|little|decent|solid|more|other|great|huge)\\s+)*';

/** Numbers that cannot be depths by their form, such as dates, times, counts, weights and names of things. */
const OTHER_FORMS: readonly RegExp[] = [
  // Numbers with three or more parts: dates and chains of numbers.
  /\d+(?:\s?[-/]\s?\d+){2,}(?:t[\d:.]+z?)?/,
  /\d{1,2}:\d{2}(?:\s?[ap]\.?m)?(?:\s*(?:-|to)\s*\d{1,2}(?::\d{2})?)?(?:\s?[ap]\.?m)?/,
  /\d{1,2}(?:\s*(?:-|to)\s*\d{1,2})?[ap]\b/,
  new RegExp(
    `\\b(?:${MONTH})\\b\\.?\\s*\\d{1,2}(?:st|nd|rd|th)?\\b(?:\\s*(?:-|to)\\s*\\d{1,2}\\b)?(?!\\s*(?:${UNIT}))`,
  ),
  new RegExp(`\\d{1,2}(?:\\s*-\\s*\\d{1,2})?\\s*(?:${MONTH})\\b`),
  new RegExp(`\\d{1,2}/\\d{1,2}(?:-\\d+\\s*(?:${UNIT})?)?`),
  // A number joined to letters is a name, unless the letters introduce a depth.
  /(?!(?:fish|bass|school|at|in)\d)[a-z]+\d\w*|[a-z]{1,2}-\d\w*/,
  /#\s?\d+\w*|(?<![\w'])'\d{2}(?![\d'])/,
  /\d+[.,]\d{3,}|\d{4,}|0\d+(?:\s?-\s?\d+)?[mt]?\b/,
  /\d+(?:st|nd|rd|th)\b|\d+'?s\b|\d+'\s?\d{1,2}(?:"|in\b)|\d+'\d{1,2}\b/,
  new RegExp(`${RANGE_OR_ONE}\\s*(?:(?:${OTHER_UNIT})(?![a-z])|["\u00b0%])`),
  // The number in a count, such as the 5 of `5 bites in 18`. The noun is not part of the match, because it
  // may introduce a depth. When a number directly follows the noun, as in `12-30 fish 18-22`, the number
  // before the noun is not a count.
  new RegExp(`${RANGE_OR_ONE}\\s+(?=${ADJECTIVE}(?:${COUNTED})\\b(?!\\s*[:=@]?\\s*\\d))`),
];

const DEPTH = new RegExp(
  `(${NUMBER})\\+?\\s*(${UNIT})?(?:\\s*(${JOIN}|and|&)\\s*(${NUMBER})\\s*(${UNIT})?)?(?:-?ish\\b)?`,
);

export type NotePart = { readonly start: number; readonly end: number } & (
  | { readonly kind: 'word'; readonly word: string }
  /** A number, or two joined by a word or mark, that may be depths by their form. */
  | {
      readonly kind: 'depth';
      readonly depths: readonly number[];
      readonly units: readonly (LengthUnit | undefined)[];
      readonly join?: string;
    }
  /** A number whose form rules out a depth. */
  | { readonly kind: 'other' }
  /** Ends a clause; after a weak stop the subject may carry over. */
  | { readonly kind: 'stop'; readonly isWeak: boolean }
);

const sticky = (pattern: RegExp): RegExp => new RegExp(pattern.source, 'iy');
const OTHER = OTHER_FORMS.map(sticky);
const DEPTH_HERE = sticky(DEPTH);
const WORD = /@|[a-z]+(?:'[a-z]+)*/iy;
const WEAK_STOP = /[,()]|\s-+\s?(?!\d)/iy;
const STRONG_STOP = /[;!?\n|]|\.(?=\s|$)/iy;

/**
 * Splits a note into words, depths, other numbers and stops.
 *
 * Offsets of the parts refer to the text as given. Typographic dashes, primes, quotes and spaces count as
 * plain ones.
 */
export function notePartsOf(text: string): NotePart[] {
  const plain = plainOf(text);
  const parts: NotePart[] = [];
  let at = 0;
  const take = (pattern: RegExp): RegExpExecArray | null => {
    pattern.lastIndex = at;
    return pattern.exec(plain);
  };
  while (at < plain.length) {
    const start = at;
    const other = OTHER.map(take).find((match) => match !== null);
    const depth = other === undefined ? take(DEPTH_HERE) : null;
    const word = other === undefined && depth === null ? take(WORD) : null;
    if (other !== undefined) {
      at += other[0].length;
      parts.push({ kind: 'other', start, end: at });
    } else if (depth !== null) {
      const isFeetOfWater = /^\s*fow\b/i.test(plain.slice(at + depth[0].length));
      const part = depthPart(depth, parts.at(-1), isFeetOfWater ? 'ft' : undefined);
      at = part.end;
      parts.push(part);
      // The period of an abbreviated unit may also end the sentence.
      if (/\.\s+[A-Z]/.test(text.slice(at - 1, at + 3)))
        parts.push({ kind: 'stop', isWeak: false, start: at, end: at });
    } else if (word !== null) {
      at += word[0].length;
      parts.push({ kind: 'word', word: word[0] === '@' ? 'at' : word[0].toLowerCase(), start, end: at });
    } else {
      const weak = take(WEAK_STOP);
      const stop = weak ?? take(STRONG_STOP);
      at += stop?.[0].length ?? 1;
      if (stop !== null) parts.push({ kind: 'stop', isWeak: weak !== null, start, end: at });
    }
  }
  return parts;
}

/** @param unit Unit of numbers without one. */
function depthPart(
  match: RegExpExecArray,
  previous: NotePart | undefined,
  unit: LengthUnit | undefined,
): NotePart & { kind: 'depth' } {
  const [whole, first, firstUnit, join, second, secondUnit] = match;
  const start = match.index;
  const isBetween = previous?.kind === 'word' && previous.word === 'between';
  const part = { kind: 'depth', start } as const;
  if (second === undefined || (/^(?:and|&)$/i.test(join) && !isBetween)) {
    const end = start + DEPTH_ALONE.exec(whole)![0].length;
    return { ...part, depths: [numberOf(first)], units: [unitOf(firstUnit) ?? unit], end };
  }
  const units = [unitOf(firstUnit ?? secondUnit) ?? unit, unitOf(secondUnit ?? firstUnit) ?? unit];
  return { ...part, depths: [numberOf(first), numberOf(second)], units, join, end: start + whole.length };
}

const DEPTH_ALONE = new RegExp(`^${NUMBER}\\+?(?:\\s*(?:${UNIT}))?(?:-?ish\\b)?`, 'i');

const numberOf = (text: string): number => Number(text.replace(',', '.'));

const unitOf = (text: string | undefined): LengthUnit | undefined =>
  text === undefined
    ? undefined
    : UNITS.find(([, pattern]) => new RegExp(`^(?:${pattern})$`, 'i').test(text))?.[0];

/** Maximum depth accepted, m: nobody marks or fishes for bass deeper; common practice, no source. */
const DEEPEST = 100;

export const isPossibleDepth = (depth: number): boolean => depth > 0 && depth <= DEEPEST;

/** Returns the depths of a part, m. @param assumed Unit of numbers without one. */
export const metersOf = ({ depths, units }: NotePart & { kind: 'depth' }, assumed: DisplayUnits): number[] =>
  depths.map((depth, i) => toMeters(depth, units[i] ?? assumed));

/** Makes typographic dashes, primes, quotes and spaces plain without changing the length of the text. */
const plainOf = (text: string): string =>
  text
    .replace(/[\u2010-\u2015\u2212]/g, '-')
    .replace(/[\u2018\u2019\u201b\u2032\u00b4]/g, "'")
    .replace(/[\u201c\u201d\u2033]/g, '"')
    .replace(/[\u00a0\u2009\u202f]/g, ' ');
