import { type Diagnostic, type DisplayUnits, fromMeters } from '../../contract/index.ts';

/** What a proposed place is, in the words that every output begins with. */
export const PROPOSED_TEXT = 'Proposed place, never seen fish';

/** One plain condition, in SI. */
export interface PatternCondition {
  readonly family: string;
  readonly name?: string;
  readonly from?: number;
  readonly to?: number;
}

/** What a condition says of a place: to follow "are" or "is". */
function conditionText(
  { family, name, from = 0, to = Infinity }: PatternCondition,
  units: DisplayUnits,
): string {
  const length = (meters: number): string => `${Math.round(fromMeters(meters, units))}`;
  const range = `${length(from)}-${length(to)} ${units}`;
  switch (family) {
    case 'word':
      return WORDS[name ?? ''] ?? `on a ${(name ?? '').replace('-', ' ')}`;
    case 'depth':
      return `in ${range}`;
    case 'top':
      return `within a cast of a top in ${range}`;
    case 'base':
      return `within a cast of a bottom that goes down to ${range}`;
    case 'relief':
      return `where the bottom changes by ${length(from)}+ ${units} within a cast`;
    case 'face':
      return `on or beside a face of ${from.toFixed(0)}+ deg`;
    case 'channel':
      return `within ${length(to)} ${units} of the bed of a ditch or channel`;
    default:
      return `within ${length(to)} ${units} of the lip of a ledge`;
  }
}

const WORDS: Readonly<Record<string, string>> = {
  high: 'on something high (a hump, ridge, point or outside turn)',
  low: 'in something low (a hole, ditch or inside turn)',
  edge: 'on the edge of a ledge or channel',
  hole: 'in a hole',
  ditch: 'in a ditch',
  slope: 'on an even slope',
  flat: 'on a flat',
  'outside-turn': 'on an outside turn',
  'inside-turn': 'in an inside turn',
};

/** The rule of a pattern: `on a ledge, in 12-18 ft and within 40 ft of the lip of a ledge`. */
export function patternText(conditions: readonly PatternCondition[], units: DisplayUnits): string {
  const parts = conditions.map((condition) => conditionText(condition, units));
  return parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}

const plural = (count: number, noun: string): string => `${count} ${noun}${count === 1 ? '' : 's'}`;

export interface PatternFound {
  readonly fish: number;
  readonly met: number;
  readonly blanks: number;
  readonly metBlanks: number;
  /** Of the sounded water, 0 to 1. */
  readonly share: number;
  readonly asWell: number;
  readonly foundAgain: number;
  readonly leftOut: number;
  readonly conditions: readonly PatternCondition[];
}

/** The counted sentences of a pattern, which the user can check on the map. */
export function patternSentences(found: PatternFound, units: DisplayUnits): string[] {
  const rule = patternText(found.conditions, units);
  const percent = 100 * found.share;
  const share = percent < 0.1 ? 'under 0.1' : percent.toFixed(percent < 10 ? 1 : 0);
  return [
    `${found.met} of ${plural(found.fish, 'mark')} with fish are ${rule}; ${share} % of the sounded water is.`,
    ...(found.blanks > 0
      ? [
          `Of ${plural(found.blanks, 'mark')} without fish, ${found.metBlanks} ${found.metBlanks === 1 ? 'is' : 'are'}.`,
        ]
      : []),
    `Of 100 searches on random places on structure, ${found.asWell === 0 ? 'none does' : `${found.asWell} ${found.asWell === 1 ? 'does' : 'do'}`} as well.`,
    `Left out in turn, ${found.foundAgain} of ${plural(found.leftOut, 'mark')} would have been in the best 5 % of the water.`,
    'The fish go with it; that says nothing of why, and is no chance of fish.',
  ];
}

const note = (code: string, message: string): Diagnostic => ({
  severity: 'note',
  code: `prospect/${code}`,
  message,
});

export const tooFewPlaces = (marks: number, separate: number, least: number): Diagnostic => ({
  ...note(
    'too-few',
    `No places proposed: your ${plural(marks, 'mark')} with fish ${marks === 1 ? 'is' : 'are'} ${plural(separate, 'separate place')}; too few to tell. It takes ${least}, 100 m (110 yd) from each other. --any lists structure instead.`,
  ),
  severity: 'warning',
});

export const showsNothing = (marks: number): Diagnostic => ({
  ...note(
    'no-pattern',
    `No places proposed: your ${plural(marks, 'mark')} with fish show nothing that ${marks} random places on structure would not. --any lists structure instead.`,
  ),
  severity: 'warning',
});

export const everyMarkCounts = (marks: number): Diagnostic =>
  note(
    'every-mark',
    `No mark or log counts fish, so all ${plural(marks, 'mark')} count as places with fish. Write counts such as "3 fish" or "no fish" into notes, or give --log.`,
  );

export const marksUnsounded = (names: readonly string[]): Diagnostic =>
  note(
    'unsounded',
    `${plural(names.length, 'mark')} off the sounded water left out: ${names.slice(0, 8).join(', ')}${names.length > 8 ? ' ...' : ''}.`,
  );

/** What a proposed place says of itself. @param pattern Absent where there is none: structure, by how sure it is. */
export function proposedText(
  place: { readonly word: string; readonly isMet: boolean; readonly sure: number },
  pattern: readonly PatternCondition[] | undefined,
  units: DisplayUnits,
): string {
  const sure = `${Math.round(100 * place.sure)} % of the bottoms that your soundings allow`;
  if (pattern === undefined) return `${PROPOSED_TEXT}; unranked, structure only: ${place.word} on ${sure}.`;
  const rule = patternText(pattern, units);
  return place.isMet
    ? `${PROPOSED_TEXT}; like your marks with fish: ${rule}, on ${sure}.`
    : `${PROPOSED_TEXT}; looks like your marks with fish in other ways, but is not ${rule}.`;
}
