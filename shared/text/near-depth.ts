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

/**
 * Thickest range that can be a school of fish, m: "on the ledge 18-22 ft" means the fish, "on the ledge 12-30 ft"
 * the ledge.
 */
const THICKEST_SCHOOL = 10 * METERS_PER.ft;

export const isPreposition = (word: string): boolean => PREPOSITION.test(word);

/** The words around one depth in a note. */
export class NearDepth {
  readonly text: string;
  readonly parts: readonly NotePart[];
  readonly index: number;
  /** True for a mark's name, where bare numbers count marks. */
  readonly isName: boolean;
  readonly part: DepthPart;
  readonly hasUnit: boolean;
  readonly isRange: boolean;
  /** The word directly before the depth. */
  readonly lead: string | undefined;
  /** Index of the last depth assigned to the fish; words before it no longer count. */
  private readonly claimed: number;

  constructor(text: string, parts: readonly NotePart[], index: number, claimed: number, isName: boolean) {
    this.text = text;
    this.parts = parts;
    this.index = index;
    this.claimed = claimed;
    this.isName = isName;
    this.part = parts[index] as DepthPart;
    this.hasUnit = this.part.units.some((unit) => unit !== undefined);
    this.isRange = this.part.depths.length === 2 && this.part.depths[0] !== this.part.depths[1];
    const before = parts[index - 1];
    this.lead = before?.kind === 'word' ? before.word : undefined;
  }

  /** The nearest earlier word that has a subject; only fish and structure carry across a comma. */
  subjectBefore(): Found | undefined {
    let hasDepth = false;
    let hasCrossed = false;
    for (let i = this.index - 1; i >= 0; i--) {
      const part = this.parts[i];
      if (part.kind === 'depth') hasDepth = true;
      if (part.kind === 'stop') {
        if (!part.isWeak || (hasDepth && this.claimed !== i)) return undefined;
        hasCrossed = true;
      }
      if (part.kind !== 'word') continue;
      const subject = this.subjectAt(i);
      if (subject === undefined || (subject === 'weather' && this.hasUnit)) continue;
      if (hasCrossed && !/^(?:fish|catch|structure|form)$/.test(subject)) return undefined;
      return { subject, word: part, index: i };
    }
    return undefined;
  }

  /** Parts of a clause before one of its parts, the nearest first, without those up to an index. */
  private back(from: number, upTo = -1): number[] {
    const stop = this.parts.findLastIndex((part, i) => i < from && part.kind === 'stop');
    return [...this.parts.keys()].slice(Math.max(stop, upTo) + 1, from).reverse();
  }

  /** Index of the nearest earlier word for fish in the same clause that has no depth yet. */
  fishBefore(from = this.index): number | undefined {
    return this.back(from, this.claimed).find((i) => /^(?:fish|catch)$/.test(this.subjectAt(i) ?? ''));
  }

  /**
   * True when a structure only tells where the fish were: `caught 3 off the ledge in 22`, `school on ledge
   * 18-22`.
   */
  isFishAt(structure: number): boolean {
    const fish = this.fishBefore(structure);
    if (fish === undefined) return false;
    if (this.isIn) return true;
    const isLed = this.parts
      .slice(fish + 1, structure)
      .some((part) => part.kind === 'word' && isPreposition(part.word));
    return isLed && (this.isRange ? this.isThin : this.hasUnit);
  }

  /** The thing whose depth a word like `depth` gives: `channel depth 30`, `lure depth 12`. */
  ownerOfDepth(index: number): Found | undefined {
    const owner = /^(?:structure|form|tackle|boat)$/;
    const found = this.back(index).find((i) => owner.test(this.subjectAt(i) ?? ''));
    return found === undefined ? undefined : this.found(found);
  }

  /**
   * True for a single depth directly after the word for it: `depth 21`, not `depth change 5 ft` or `depth 12 and
   * 18`.
   */
  isDepthHere(index: number): boolean {
    const between = this.parts.slice(index + 1, this.index);
    const isDirect = between.every(
      (part) => part.kind === 'word' && /^(?:is|was|here|of|at|about)$/.test(part.word),
    );
    const [next, other] = [this.parts[this.index + 1], this.parts[this.index + 2]];
    const isListed = next?.kind === 'word' && /^(?:and|or)$/.test(next.word) && other?.kind === 'depth';
    return isDirect && !isListed && !this.isRange;
  }

  isNegated(): boolean {
    return this.back(this.index, this.claimed).some((i) => {
      const part = this.parts[i];
      return part.kind === 'word' && NEGATION.test(part.word);
    });
  }

  wordsAfter(): Word[] {
    const after = this.parts.slice(this.index + 1);
    const end = after.findIndex(({ kind }) => kind !== 'word');
    return (end < 0 ? after : after.slice(0, end)) as Word[];
  }

  subjectAt(index: number): Subject | undefined {
    const [part, next] = [this.parts[index], this.parts[index + 1]];
    return part.kind === 'word'
      ? subjectOf(part.word, next?.kind === 'word' ? next.word : undefined)
      : undefined;
  }

  found(index: number): Found {
    return { subject: this.subjectAt(index)!, word: this.parts[index] as Word, index };
  }

  get isIn(): boolean {
    return this.lead === 'in' || this.lead === 'at';
  }

  /** True for a range that is no thicker than a school. */
  get isThin(): boolean {
    const { depths, units } = this.part;
    return Math.abs(depths[1] - depths[0]) * METERS_PER[units[0] ?? 'ft'] <= THICKEST_SCHOOL;
  }

  /** True for two numbers without a unit that may be a date or hours. */
  mayBeDate(): boolean {
    const [low, high] = [...this.part.depths].sort((a, b) => a - b);
    return low <= 12 && high <= (this.part.join === '-' ? 31 : 12);
  }
}
