import { METERS_PER } from '../contract/index.ts';
import { type Subject, subjectOf } from './note-words.ts';
import type { NotePart } from './written-depth.ts';

export type DepthPart = NotePart & { readonly kind: 'depth' };
export type Word = NotePart & { readonly kind: 'word' };

/** A word that has a subject, with its position. */
export interface Found {
  readonly subject: Subject;
  readonly word: Word;
  readonly index: number;
}

const PREPOSITION =
  /^(?:on|off|along|over|near|by|around|from|of|at|in|to|beside|next|toward|towards|up|down|with|and)$/;
const NEGATION = /^(?:no|not|nothing|none|never|without|zero|didnt|didn't|wasnt|wasn't|blanked|skunked)$/;

/** Maximum thickness of a range that can be a school, m. */
const THICKEST_SCHOOL = 10 * METERS_PER.ft;

export const isPreposition = (word: string): boolean => PREPOSITION.test(word);

/** The words around one depth in a note. */
export type NearDepth = ReturnType<typeof nearDepth>;

/**
 * @param index Index of the depth among the parts of the note.
 * @param claimed Index of the last depth assigned to the fish, or -1. `fishBefore` and `negation` ignore the
 *   words before that depth.
 * @param isName True for a mark's name, where bare numbers tell marks apart.
 */
export function nearDepth(
  text: string,
  parts: readonly NotePart[],
  index: number,
  claimed: number,
  isName: boolean,
) {
  const part = parts[index] as DepthPart;
  const { depths, units } = part;
  const hasUnit = units.some((unit) => unit !== undefined);
  const isRange = depths.length === 2 && depths[0] !== depths[1];
  const wordAt = (at: number): string | undefined => {
    const found = parts[at];
    return found?.kind === 'word' ? found.word : undefined;
  };
  /** The word directly before the depth. */
  const lead = wordAt(index - 1);
  const isIn = lead === 'in' || lead === 'at';
  const isThin = Math.abs(depths[1] - depths[0]) * METERS_PER[units[0] ?? 'ft'] <= THICKEST_SCHOOL;

  const subjectAt = (at: number): Subject | undefined => {
    const word = wordAt(at);
    return word === undefined ? undefined : subjectOf(word, wordAt(at + 1));
  };
  const found = (at: number): Found => ({ subject: subjectAt(at)!, word: parts[at] as Word, index: at });

  /** Returns the indexes of parts between `upTo` and `from` in the clause of `from`, nearest first. */
  const back = (from: number, upTo = -1): number[] => {
    const stop = parts.findLastIndex(({ kind }, i) => i < from && kind === 'stop');
    return [...parts.keys()].slice(Math.max(stop, upTo) + 1, from).reverse();
  };

  /** Finds the nearest word for fish before `from` in its clause, after the last depth assigned to fish. */
  const fishBefore = (from = index): number | undefined =>
    back(from, claimed).find((i) => /^(?:fish|catch)$/.test(subjectAt(i) ?? ''));

  return {
    ...{ text, parts, index, isName, part, hasUnit, isRange, lead, isIn, isThin },
    ...{ found, fishBefore },

    /** Finds the nearest earlier word that has a subject. Beyond a weak stop, only some subjects count. */
    subjectBefore(): Found | undefined {
      let hasDepth = false;
      let hasCrossed = false;
      for (let i = index - 1; i >= 0; i--) {
        const before = parts[i];
        if (before.kind === 'depth') hasDepth = true;
        if (before.kind === 'stop') {
          if (!before.isWeak || hasDepth) return undefined;
          hasCrossed = true;
        }
        const subject = subjectAt(i);
        if (subject === undefined || (subject === 'weather' && hasUnit)) continue;
        return hasCrossed && !/^(?:fish|catch|structure|form)$/.test(subject) ? undefined : found(i);
      }
      return undefined;
    },

    /** True when a structure only says where the fish were: `caught 3 off the ledge in 22`. */
    isFishAt(structure: number): boolean {
      const fish = fishBefore(structure);
      if (fish === undefined) return false;
      if (isIn) return true;
      const isLed = parts
        .slice(fish + 1, structure)
        .some((between) => between.kind === 'word' && isPreposition(between.word));
      return isLed && (isRange ? isThin : hasUnit);
    },

    /** Finds the thing that a word like `depth` belongs to: `channel depth 30`, `lure depth 12`. */
    ownerOfDepth(word: number): Found | undefined {
      const owner = back(word).find((i) => /^(?:structure|form|tackle|boat)$/.test(subjectAt(i) ?? ''));
      return owner === undefined ? undefined : found(owner);
    },

    /** True for one depth right after `depth`: `depth 21`, not `depth change 5 ft` or `depth 12 and 18`. */
    isDepthHere(word: number): boolean {
      const isDirect = parts
        .slice(word + 1, index)
        .every((between) => between.kind === 'word' && /^(?:is|was|here|of|at|about)$/.test(between.word));
      const isListed = /^(?:and|or)$/.test(wordAt(index + 1) ?? '') && parts[index + 2]?.kind === 'depth';
      return isDirect && !isListed && !isRange;
    },

    /** The word before the depth that says that there were no fish; undefined without one. */
    negation: (): NotePart | undefined =>
      back(index, claimed)
        .map((i) => parts[i])
        .find((word) => word.kind === 'word' && NEGATION.test(word.word)),

    wordsAfter(): Word[] {
      const after = parts.slice(index + 1);
      const end = after.findIndex(({ kind }) => kind !== 'word');
      return (end < 0 ? after : after.slice(0, end)) as Word[];
    },

    /** True when two numbers could be a date or hours; meant for numbers without a unit. */
    mayBeDate(): boolean {
      const [low, high] = [...depths].sort((a, b) => a - b);
      return low <= 12 && high <= (part.join === '-' ? 31 : 12);
    },
  };
}
