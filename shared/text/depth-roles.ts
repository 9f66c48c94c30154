import {
  type DepthPart,
  type Found,
  isPreposition,
  type NearDepth,
  nearDepth,
  type Word,
} from './near-depth.ts';
import { subjectOf, thingOf } from './note-words.ts';
import { type NotePart, notePartsOf } from './written-depth.ts';

/** What a depth in a note refers to. */
export type DepthRole =
  /** The fish, according to the words. */
  | 'fish'
  /** No words say whether the depth is of the fish. Anglers often write the depth of fish like that. */
  | 'bare'
  | 'structure'
  /** The bottom at the mark or below the fish. */
  | 'ground'
  | 'tackle'
  | 'boat'
  /** A distance, a size, or the depth or height of a thing such as a thermocline or a wave. */
  | 'place'
  /** The number may be a date, hours or a count, or the range has only one end. */
  | 'unclear'
  /** A depth at which there were no fish. */
  | 'no-fish';

export interface DepthInNote {
  readonly part: DepthPart;
  readonly role: DepthRole;
  /** The thing that the words name, such as `ledge` or `lure`; empty when they name nothing. */
  readonly thing: string;
  /** The depth as written in the note, with the words that show its role unless the text gets too long. */
  readonly words: string;
  /** True for a single depth that describes the place itself: `depth 21`, `21 ft deep`. */
  readonly isDepthHere: boolean;
}

/** The fields of a `DepthInNote`. `by` is the part of the note that shows the role and the thing. */
type Judgment = readonly [role: DepthRole, thing: string, by?: NotePart, isDepthHere?: boolean];

/** Words directly after a length that make it a distance or a size: `20 ft tall`. */
const MEASURED =
  /^(?:tall|wide|long|across|thick|away|apart|upstream|downstream|north|south|east|west|left|right|behind|high|low)$/;
/** Words directly after a length that often make it a distance: `20 ft off the bank`. */
const APART = /^(?:off|from|out|above)$/;
/** Words before a distance: `within 20 ft`. */
const AWAY = /^(?:off|within|every)$/;
/** Words before `to` and a depth that say where the fish went: `moved to 20 ft`. */
const MOVED = /^(?:move|moved|moving|pulled|slid|pushed|went|gone|out)$/;
/** Parts of a bottom feature, after a preposition: `14 ft on top`. */
const PART_OF_FORM = /^(?:top|crown|base|foot|toe|bottom)$/;
const OPEN = /^(?:than|under|below|beyond|past|to|exceeding|least|most)$/;
const HOLDING = /^(?:hold|suspend|stack)/;

/** Value of `thing` for a depth that is only one end of a range, as in `deeper than 20 ft`. */
export const ONE_END = 'one end';

const LONGEST_WORDS = 40;

/**
 * Finds every number in a note that may be a depth, in order, with what the number refers to.
 *
 * @param isName True when the text is a mark's name, in which bare numbers tell marks apart.
 */
export function depthsInNote(text: string, isName: boolean): DepthInNote[] {
  const parts = notePartsOf(text);
  const found: DepthInNote[] = [];
  let claimed = -1;
  for (const [index, part] of parts.entries()) {
    if (part.kind !== 'depth') continue;
    const judgment = judge(nearDepth(text, parts, index, claimed, isName));
    if (judgment === undefined) continue;
    const [role, thing, by, isDepthHere = false] = judgment;
    if (role === 'fish') claimed = index;
    found.push({ part, role, thing, words: wordsOf(text, part, by), isDepthHere });
  }
  return found;
}

function wordsOf(text: string, part: DepthPart, by: NotePart = part): string {
  const words = text.slice(Math.min(part.start, by.start), Math.max(part.end, by.end)).trim();
  return words.length <= LONGEST_WORDS ? words : text.slice(part.start, part.end).trim();
}

function judge(near: NearDepth): Judgment | undefined {
  const before = near.subjectBefore();
  const no = near.negation();
  if (no !== undefined) {
    const first = before === undefined || no.start < before.word.start ? no : before.word;
    return near.hasUnit || before !== undefined ? ['no-fish', '', first] : undefined;
  }
  if (near.lead === 'for' && !near.hasUnit) return undefined;
  if (near.lead !== undefined && AWAY.test(near.lead) && !near.isRange)
    return near.hasUnit ? ['place', 'distance', near.parts[near.index - 1]] : undefined;
  if (near.lead === 'over')
    return near.hasUnit || near.isRange ? ['ground', 'bottom', near.parts[near.index - 1]] : undefined;
  return byWordsAfter(near, before) ?? (before === undefined ? alone(near) : byWordsBefore(near, before));
}

/** Judges a depth by the words after it, as in `20 ft tall`, `20 ft diver` and `22-26 good bite`. */
function byWordsAfter(near: NearDepth, before: Found | undefined): Judgment | undefined {
  const words = near.wordsAfter();
  const [first, second] = words;
  if (first === undefined) return undefined;
  const isInWater = near.isIn && near.fishBefore() !== undefined;
  if (near.hasUnit) {
    if (MEASURED.test(first.word)) return ['place', 'distance', first];
    if (first.word === 'up' && /^(?:place|ground)$/.test(before?.subject ?? ''))
      return ['place', 'lake level', first];
    if (APART.test(first.word) && !isInWater) {
      const bottom = words.slice(1, 3).find(({ word }) => word === 'bottom');
      if (bottom !== undefined) return ['ground', 'bottom', bottom];
      if (!near.isRange && first.word !== 'out') return ['place', 'distance', first];
      if (!near.isRange && second?.word !== 'of') return ['place', 'distance', first];
    }
  }
  if (/^(?:deep|depth|fow|bottom)$/.test(first.word) || (first.word === 'of' && second?.word === 'water')) {
    const isNoun =
      second !== undefined && /^(?:structure|cover|tackle)$/.test(subjectOf(second.word, undefined) ?? '');
    if (!isNoun || first.word !== 'deep') {
      if (before !== undefined) return byWordsBefore(near, before);
      if (first.word !== 'bottom' && near.isRange && near.isThin) return ['bare', '', first];
      return ['ground', 'bottom', first.word === 'of' ? second : first, !near.isRange];
    }
  }
  const part = words.slice(1, 3).find(({ word }) => PART_OF_FORM.test(word));
  if (
    before === undefined &&
    part !== undefined &&
    /^(?:on|at)$/.test(first.word) &&
    (near.hasUnit || near.isRange)
  )
    return ['structure', part.word, part];
  return byNounAfter(near, words, isInWater);
}

function byNounAfter(near: NearDepth, words: readonly Word[], isInWater: boolean): Judgment | undefined {
  for (const [i, at] of words.entries()) {
    if (isPreposition(at.word)) return undefined;
    const subject = subjectOf(at.word, words[i + 1]?.word);
    if (subject === undefined || (subject === 'ground' && i === 0)) continue;
    if (subject === 'fish' || subject === 'catch') {
      const isSaid = near.hasUnit || (near.isRange && !near.mayBeDate());
      return near.subjectBefore() === undefined && isSaid ? ['fish', '', at] : undefined;
    }
    if (i > 1 || !near.hasUnit || isInWater) return undefined;
    if (/^(?:structure|cover|tackle|boat)$/.test(subject))
      return [subject === 'cover' ? 'structure' : (subject as DepthRole), thingOf(at.word, subject), at];
    return undefined;
  }
  return undefined;
}

function byWordsBefore(near: NearDepth, before: Found): Judgment | undefined {
  const { subject, word, index } = before;
  const thing = thingOf(word.word, subject);
  const named = near.hasUnit || near.isRange;
  switch (subject) {
    case 'fish':
    case 'catch':
      return ofFish(near, before);
    case 'structure':
    case 'cover':
      if (near.isFishAt(index)) return ['fish', '', near.parts[near.fishBefore()!]];
      return named || near.lead !== word.word ? ['structure', thing, word] : undefined;
    case 'form':
      return ['structure', thing, word];
    case 'ground':
      if (near.fishBefore(index) !== undefined) return ofFish(near, near.found(near.fishBefore(index)!));
      if (word.word === 'water' && !near.hasUnit) return undefined;
      if (near.ownerOfDepth(index) !== undefined) return byWordsBefore(near, near.ownerOfDepth(index)!);
      if (word.word !== 'bottom' && near.isRange && near.isThin) return ['bare', '', word];
      return ['ground', 'bottom', word, near.isDepthHere(index)];
    case 'tackle':
      if (near.isIn && near.fishBefore(index) !== undefined)
        return ['fish', '', near.parts[near.fishBefore(index)!]];
      return named ? ['tackle', thing, word] : undefined;
    case 'boat':
      return named ? ['boat', thing, word] : undefined;
    case 'place':
      return near.hasUnit ? ['place', thing, word] : undefined;
    default:
      return undefined;
  }
}

/** Judges a depth next to a word for fish or for a catch. */
function ofFish(near: NearDepth, { subject, word, index }: Found): Judgment | undefined {
  const earlier = near.parts[near.index - 2];
  const hasMoved = near.lead === 'to' && earlier?.kind === 'word' && MOVED.test(earlier.word);
  if (near.lead !== undefined && OPEN.test(near.lead) && !hasMoved) return ['unclear', ONE_END, word];
  if (near.hasUnit) return ['fish', '', word];
  const [first] = near.part.depths;
  if (near.isRange) {
    const isClear = subject === 'fish' || near.lead === 'in' || !near.mayBeDate();
    return [isClear ? 'fish' : 'unclear', '', word];
  }
  const least =
    subject === 'catch' && near.lead === 'at' ? 13 : near.isIn || HOLDING.test(word.word) ? 4 : 10;
  const isNear = near.isIn || (!near.isName && near.index - index <= 2 && subject === 'fish');
  if (isNear && first >= least && first < 100) return ['fish', '', word];
  return subject === 'catch' && first >= 10 && near.index - index <= 2 ? ['unclear', '', word] : undefined;
}

/** Judges a depth when no words around it say what it refers to. */
function alone(near: NearDepth): Judgment | undefined {
  if (near.hasUnit) return ['bare', ''];
  const before = near.parts[near.index - 1];
  const isAtSign = before !== undefined && near.text[before.start] === '@';
  if (isAtSign) return [near.part.depths.some((depth) => depth <= 12) ? 'unclear' : 'bare', '', before];
  if (!near.isRange || near.isName) return undefined;
  return [near.parts.length === 1 && !near.mayBeDate() ? 'bare' : 'unclear', ''];
}
