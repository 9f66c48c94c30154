import {
  type DepthRange,
  type DisplayUnits,
  fromMeters,
  inMeters,
  type Waypoint,
} from '../../contract/index.ts';
import { messages, plural } from './make.ts';

/** Beginning of every text about a proposed place. Only what follows its first period is read as a note. */
export const PROPOSED_TEXT = 'Proposed place, not fished';

type Texts = Pick<Waypoint, 'comment' | 'description'>;

/** True for a waypoint whose comment or description begins with `PROPOSED_TEXT`. */
export const isProposed = ({ comment, description }: Texts): boolean =>
  [comment, description].some((text) => text.startsWith(PROPOSED_TEXT));

/** Returns the short description of a proposed place: `Proposed place, not fished: like C4, C7.` */
export const proposalIn = ({ comment, description }: Texts): string | undefined =>
  [comment, description].flatMap((text) => text.match(new RegExp(`^${PROPOSED_TEXT}[^.]*\\.?`)) ?? [])[0];

/** Removes our description of a proposed place, up to its first period, from a text. */
export const withoutProposal = (text: string): string =>
  text.replace(new RegExp(`${PROPOSED_TEXT}[^.]*\\.?`, 'gi'), ';');

/** One condition of a pattern; lengths and depths in m, slopes in deg. */
export interface PatternCondition {
  readonly family: string;
  readonly name?: string;
  readonly from?: number;
  readonly to?: number;
}

const lengthNumber = (meters: number, units: DisplayUnits): string =>
  `${Math.round(fromMeters(meters, units))}`;
const lengthBetween = (from: number, to: number, units: DisplayUnits): string =>
  `${lengthNumber(from, units)}-${lengthNumber(to, units)} ${units}`;

/** Describes a condition in words that can follow "are" or "is". */
function conditionText(
  { family, name, from = 0, to = Infinity }: PatternCondition,
  units: DisplayUnits,
): string {
  const length = (meters: number): string => lengthNumber(meters, units);
  const range = lengthBetween(from, to, units);
  switch (family) {
    case 'word':
      return WORDS[name ?? ''] ?? `on a ${(name ?? '').replace('-', ' ')}`;
    case 'depth':
      return `in ${range}`;
    case 'top':
      return `within a cast of a top in ${range}`;
    case 'base':
      return `where it drops to ${range} within a cast`;
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

/** Describes the rule of a pattern: `on a ledge in 12-18 ft and within 40 ft of the lip of a ledge`. */
function patternText(conditions: readonly PatternCondition[], units: DisplayUnits): string {
  const rank = ({ family }: PatternCondition): number => (family === 'word' ? 0 : family === 'depth' ? 1 : 2);
  const sorted = conditions.toSorted((a, b) => rank(a) - rank(b));
  const parts = sorted.map((condition) => conditionText(condition, units));
  if (rank(sorted[0]) === 0 && sorted.length > 1 && rank(sorted[1]) === 1)
    parts.splice(0, 2, `${parts[0]} ${parts[1]}`);
  return parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}

export interface PatternFound {
  readonly fish: number;
  readonly met: number;
  readonly blanks: number;
  readonly metBlanks: number;
  /** Share of the sounded water that meets the pattern, 0 to 1. */
  readonly share: number;
  /** Of 100 sets of random places, the number that some pattern fits as well as this one fits the marks. */
  readonly asWell: number;
  /** Number of left-out marks that were in the 5 % of the water that the other marks rank best. */
  readonly foundAgain: number;
  /** Number of marks that were left out, one at a time. */
  readonly leftOut: number;
  readonly conditions: readonly PatternCondition[];
  /** Number of fish that a mark must exceed to count as a mark with fish; 0 by default. */
  readonly moreThan?: number;
}

type Counted = Pick<PatternFound, 'fish' | 'met' | 'blanks' | 'metBlanks' | 'conditions' | 'moreThan'>;

/** Describes which marks were compared. @param moreThan Number of fish that such a mark exceeds. */
const withFish = (moreThan = 0): string => (moreThan === 0 ? 'with fish' : `with more than ${moreThan} fish`);

const areOf = (count: number): string => (count === 1 ? 'is' : 'are');

/** Describes counts: `9 of your 12 marks with fish are on a point; of your 8 blanks 2 are`. */
export function countedText(
  { fish, met, blanks, metBlanks, conditions, moreThan }: Counted,
  units: DisplayUnits,
): string {
  const marks = `${met} of your ${plural(fish, 'mark')} ${withFish(moreThan)} ${areOf(met)} ${patternText(conditions, units)}`;
  return `${marks}${blanksText(blanks, metBlanks)}`;
}

function blanksText(blanks: number, met: number): string {
  if (blanks === 0) return '';
  if (blanks === 1) return `; your only blank is ${met === 0 ? 'not' : 'too'}`;
  return `; of your ${blanks} blanks ${met === 0 ? 'none is' : `${met} ${areOf(met)}`}`;
}

/** Describes a pattern in sentences with counts that the user can check on the map. */
export function patternSentences(found: PatternFound, units: DisplayUnits): string[] {
  const percent = 100 * found.share;
  const share = percent < 1 ? 'Under 1' : `About ${Math.round(percent)}`;
  return [
    `${countedText(found, units)}. ${share} % of the water that your sonar covered is like that.`,
    ...(found.blanks > 0
      ? []
      : [
          'No mark or log says where you caught nothing on the water that your sonar covered. If you write down such places too, the next run can tell more.',
        ]),
    `As a check, 100 sets of as many random places on structure were tried: ${found.asWell === 0 ? 'none' : found.asWell} of them showed a pattern this clear.`,
    `As another check, ${found.leftOut} of your marks ${withFish(found.moreThan)} were left out one at a time: ${found.foundAgain === 0 ? 'none' : found.foundAgain} of them ${found.foundAgain === 1 ? 'was' : 'were'} in the 5 % of the water most like the others.`,
    'Your fish were in places like these. That does not say why, and it is not a chance of fish.',
  ];
}

const proposedNone = (isAny: boolean): string =>
  isAny ? 'Only structure is listed, without looking at marks' : 'No places are proposed';

const fewText = (marks: number, separate: number, what: string): string => {
  const where = 'on water that your sonar covered';
  if (marks === 0) return `no mark ${what} is ${where}`;
  return separate === marks
    ? `only ${plural(marks, 'mark')} ${what} ${areOf(marks)} ${where}`
    : `your ${marks} marks ${what} ${where} are only ${plural(separate, 'separate place')}`;
};

const orAny = (isAny: boolean): string => (isAny ? '' : ' Add --any to list structure instead.');

export const prospectMessages = {
  ...messages('prospect', 'warning', {
    /**
     * @param separate Places that are apart. @param moreThan Fish that a mark had to exceed. @param uncounted
     *   Marks that were left aside because they have no count.
     */
    'too-few': (
      marks: number,
      separate: number,
      least: number,
      isAny: boolean,
      moreThan: number,
      uncounted = 0,
    ) =>
      `${proposedNone(isAny)}: ${fewText(marks, separate, withFish(moreThan))}, and it takes ${least} that are at least ${inMeters(100)} apart.${uncounted === 0 ? orAny(isAny) : ` If your ${plural(uncounted, 'mark')} without a count of fish had fish too, add --fish all.`}`,
    'no-pattern': (marks: number, isAny: boolean, moreThan: number) =>
      `${proposedNone(isAny)}: your ${plural(marks, 'mark')} ${withFish(moreThan)} have no more in common than ${marks} random places on structure.${orAny(isAny)}`,
  }),
  ...messages('prospect', 'note', {
    'every-mark': (marks: number) =>
      `No mark or log says that you caught fish, so the ${plural(marks, 'mark')} without a count ${areOf(marks)} taken to have fish. Write counts such as "3 fish" or "no fish" in your notes, or give your logs with --log.`,
    unsounded: (names: readonly string[]) =>
      `${plural(names.length, 'mark')} ${names.length === 1 ? 'was' : 'were'} left out, because your sonar did not cover the water there: ${names.slice(0, 8).join(', ')}${names.length > 8 ? ' ...' : ''}.`,
  }),
};

/** Kind of a proposed place, and what it resembles. */
export interface PlaceToPropose {
  readonly word: string;
  /** True when the place meets the conditions of the pattern. */
  readonly isMet: boolean;
  /**
   * Share of the draws of the bottom on which the place meets the pattern, 0 to 1. Without a pattern, the
   * share on which the place is a `word`.
   */
  readonly sure: number;
  /** Names of the marks that the place is most like. */
  readonly alike: readonly string[];
  /** Mean depth band of the fish, m, from the notes at the marks of `alike`. */
  readonly fish?: DepthRange | undefined;
}

/** Replaces periods in a name, since the text after the first period is read as a note. */
const inText = (name: string): string => name.replaceAll('.', '-');

/** Describes a proposed place for a chartplotter: what the place is like, and the depth of the fish there. */
export function proposedComment({ word, alike, fish }: PlaceToPropose, units: DisplayUnits): string {
  const like =
    alike.length === 0 ? `${word}, not compared with marks` : `like ${alike.map(inText).join(', ')}`;
  const depth = fish === undefined ? '' : ` ${FISH_THERE} ${lengthBetween(fish.top, fish.bottom, units)}.`;
  return `${PROPOSED_TEXT}: ${like}.${depth}`;
}

/** Words before the depth of the fish in the text of a proposed place, as at the marks that it resembles. */
export const FISH_THERE = 'Fish there';

/** Formats `PlaceToPropose.sure`: `(80 % sure from your sonar)`. @param share 0 to 1. */
export const sureText = (share: number): string => `(${Math.round(100 * share)} % sure from your sonar)`;

/** Describes a proposed place in full. @param found The pattern; absent when there is none. */
export function proposedText(place: PlaceToPropose, found: Counted | undefined, units: DisplayUnits): string {
  const sure = sureText(place.sure);
  if (found === undefined) return `${PROPOSED_TEXT}: ${place.word} ${sure}; not compared with marks.`;
  const rule = patternText(found.conditions, units);
  const marks = `${found.met} of your ${plural(found.fish, 'mark')} ${withFish(found.moreThan)}`;
  const like = `like ${place.alike.map(inText).join(' and ')}`;
  const met = place.isMet
    ? `${rule} ${sure}; ${marks} ${areOf(found.met)} too${blanksText(found.blanks, found.metBlanks)}`
    : `similar in other ways, but it does not fit the pattern of ${marks}: ${rule}`;
  return `${PROPOSED_TEXT}: ${like}; ${met}.`;
}
