import { range } from 'es-toolkit/math';
import { METERS_PER, STRUCTURE_WORDS } from '../contract/index.ts';
import { isStructure, type Measure, type MeasuredPlaces, type Places } from './places.ts';

export interface WordCondition {
  readonly family: 'word';
  readonly words: readonly string[];
  readonly name: string;
}

/** A condition on one measure of a place: its value lies between `from` and `to`, both included. */
export interface MeasureCondition {
  readonly family: Measure;
  readonly from: number;
  readonly to: number;
}

export type Condition = WordCondition | MeasureCondition;

/** Conditions of different families that must all hold, and their score (`searchRules`). */
export interface Rule {
  readonly conditions: readonly Condition[];
  readonly score: number;
}

/** Conditions met by at least one background place, with the sets of places that meet them. */
export interface RuleTable {
  readonly places: Places;
  readonly conditions: readonly Condition[];
  /** By condition: one bit per place, set where the place meets the condition. */
  readonly bits: readonly Uint32Array[];
  /** One bit per place, set where the place is on structure. */
  readonly structure: Uint32Array;
}

const FAMILIES: readonly (readonly [name: string, words: readonly string[]])[] = [
  ...STRUCTURE_WORDS.map((word): [string, string[]] => [word, [word]]),
  ['high', ['hump', 'ridge', 'point', 'outside-turn']],
  ['low', ['hole', 'ditch', 'inside-turn']],
  ['edge', ['ledge', 'channel-edge']],
];
/** Step between the bounds of conditions on `depth`, `top` and `base`, m. */
const DEPTH_STEP = 3 * METERS_PER.ft;
/** Number of lower bounds of conditions on `depth`, `top` and `base`. */
const DEPTHS = 16;
const MEASURED: readonly (readonly [Measure, readonly number[], 'least' | 'most'])[] = [
  ['relief', [4, 7, 10, 15, 20].map((feet) => feet * METERS_PER.ft), 'least'],
  ['face', [4, 6, 8, 12, 16, 20], 'least'],
  ['channel', [20, 40, 60], 'most'],
  ['lip', [40 * METERS_PER.ft], 'most'],
];
/** Cost of each condition of a rule, as a multiple of ln(number of conditions in the table). */
const PRICE = 0.6;
/** Weight of the places on structure in the background, 0 to 1; high, because anglers mark structure. */
const STRUCTURE_PART = 0.85;
/** Number of marks without fish that count as much as the background. */
const BACKGROUND_MARKS = 10;
/** Maximum number of pairs of conditions that are extended to triples. */
const BEAM = 40;
/** Maximum difference from the best score for a rule to be returned. */
const NEAR_BEST = 3;

/** @param word Structure word of the place, as an index into `STRUCTURE_WORDS`. */
export const meetsWord = ({ words }: WordCondition, word: number): boolean =>
  words.includes(STRUCTURE_WORDS[word]);

export const meetsMeasure = (
  { family, from, to }: MeasureCondition,
  places: MeasuredPlaces,
  i: number,
): boolean => places[family][i] >= from && places[family][i] <= to;

const meets = (condition: Condition, places: Places, i: number): boolean =>
  condition.family === 'word' ? meetsWord(condition, places.word[i]) : meetsMeasure(condition, places, i);

export const meetsAll = ({ conditions }: Rule, places: Places, i: number): boolean =>
  conditions.every((condition) => meets(condition, places, i));

function allConditions(): Condition[] {
  const intervals = (['depth', 'top', 'base'] as const).flatMap((family) =>
    range(DEPTHS).flatMap((a) =>
      range(1, 6).map((wide) => ({ family, from: a * DEPTH_STEP, to: (a + wide) * DEPTH_STEP })),
    ),
  );
  return [
    ...FAMILIES.map(([name, words]) => ({ family: 'word' as const, name, words })),
    ...intervals,
    ...MEASURED.flatMap(([family, bounds, side]) =>
      bounds.map((bound) => ({
        family,
        from: side === 'least' ? bound : -Infinity,
        to: side === 'least' ? Infinity : bound,
      })),
    ),
  ];
}

/** Builds the table of conditions. @param places Background, spread over the sounded water. */
export function ruleTable(places: Places): RuleTable {
  const conditions = allConditions();
  const sets = conditions.map((condition) => bitsOf(places, condition));
  const isMet = (_: unknown, c: number): boolean => sets[c].some((word) => word !== 0);
  return {
    places,
    conditions: conditions.filter(isMet),
    bits: sets.filter(isMet),
    structure: toBits(places.count, (i) => isStructure(places.word[i])),
  };
}

function toBits(count: number, has: (i: number) => boolean): Uint32Array {
  const bits = new Uint32Array(Math.ceil(count / 32));
  for (let i = 0; i < count; i++) if (has(i)) bits[i >> 5] |= 1 << (i & 31);
  return bits;
}

const bitsOf = (places: Places, condition: Condition): Uint32Array =>
  toBits(places.count, (i) => meets(condition, places, i));

/** Counts the bits that are set. Source: the parallel-sum population count, public domain. */
function ones(word: number): number {
  let v = word - ((word >>> 1) & 0x55555555);
  v = (v & 0x33333333) + ((v >>> 2) & 0x33333333);
  return Math.imul((v + (v >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
}

const sizeOf = (set: Uint32Array): number => set.reduce((count, word) => count + ones(word), 0);

const and = (a: Uint32Array, b: Uint32Array): Uint32Array => a.map((word, w) => word & b[w]);

/** Returns the share of the background in a set, weighted toward structure; never 0. */
const shareOf = ({ structure, places }: RuleTable, set: Uint32Array): number =>
  STRUCTURE_PART * ((sizeOf(and(set, structure)) + 0.5) / (sizeOf(structure) + 1)) +
  (1 - STRUCTURE_PART) * ((sizeOf(set) + 0.5) / (places.count + 1));

interface Candidate {
  /** Indices of the conditions, ascending. */
  readonly of: readonly number[];
  /** Sets of background places, marks with fish and marks without fish that meet all conditions. */
  readonly met: readonly Uint32Array[];
  readonly score: number;
}

/**
 * Finds rules that the marks with fish meet more often than the background does: all rules with a positive
 * score at most 3 below the best score, best first.
 *
 * Considers rules of up to three conditions of different families that at least half of the marks meet. The
 * score is n KL(k / n, b) - 0.6 c ln(C). Here k of n marks and the share b of the background meet the rule,
 * and the rule has c of the table's C conditions. Only the 40 best pairs are extended to triples.
 *
 * @param fish Measured marks with fish.
 * @param blanks Measured marks without fish. They add to the background, which counts as 10 such marks.
 */
export function searchRules(table: RuleTable, fish: Places, blanks: Places): Rule[] {
  const sets = table.conditions.map((condition, c) => [
    table.bits[c],
    bitsOf(fish, condition),
    bitsOf(blanks, condition),
  ]);
  const price = PRICE * Math.log(sets.length);
  /** Adds condition `c` to a candidate; undefined when fewer than half of the marks meet all its conditions. */
  const extend = (before: Candidate | undefined, c: number): Candidate | undefined => {
    const join = (s: 0 | 1 | 2): Uint32Array =>
      before === undefined ? sets[c][s] : and(before.met[s], sets[c][s]);
    const marks = join(1);
    const k = sizeOf(marks);
    if (k * 2 < fish.count) return undefined;
    const met = [join(0), marks, join(2)];
    const of = [...(before?.of ?? []), c].sort((a, b) => a - b);
    const background =
      (BACKGROUND_MARKS * shareOf(table, met[0]) + sizeOf(met[2])) / (BACKGROUND_MARKS + blanks.count);
    const score = fish.count * divergence(k / fish.count, background) - price * of.length;
    return { of, met, score };
  };
  const isFree = (of: readonly number[], c: number): boolean =>
    of.every((other) => table.conditions[other].family !== table.conditions[c].family);
  const singles = table.conditions.flatMap((_, c) => extend(undefined, c) ?? []);
  const pairs = singles.flatMap((first) =>
    singles.flatMap(({ of: [c] }) =>
      c > first.of[0] && isFree(first.of, c) ? (extend(first, c) ?? []) : [],
    ),
  );
  const triples = new Map<string, Candidate>();
  for (const pair of pairs.toSorted((a, b) => b.score - a.score).slice(0, BEAM))
    for (const single of singles) {
      const triple = isFree(pair.of, single.of[0]) ? extend(pair, single.of[0]) : undefined;
      if (triple !== undefined) triples.set(`${triple.of}`, triple);
    }
  const found = [...singles, ...pairs, ...triples.values()];
  /** Returns the sum of the widths of the conditions, which breaks ties in favor of narrow rules. */
  const widthOf = ({ of }: Candidate): number => of.reduce((sum, c) => sum + width(table.conditions[c]), 0);
  const best = found.reduce((most, { score }) => Math.max(most, score), Number.NEGATIVE_INFINITY);
  return found
    .filter(({ score }) => score > 0 && score >= best - NEAR_BEST)
    .sort(
      (a, b) =>
        b.score - a.score || a.of.length - b.of.length || widthOf(a) - widthOf(b) || a.of[0] - b.of[0],
    )
    .map(({ of, score }) => ({ conditions: of.map((c) => table.conditions[c]), score }));
}

/** Returns `to - from`, in the unit of the measure; 0 for words and open intervals. */
function width(condition: Condition): number {
  const between = condition.family === 'word' ? 0 : condition.to - condition.from;
  return Number.isFinite(between) ? between : 0;
}

/** Returns the Kullback-Leibler divergence of share p from share q if p exceeds q; otherwise 0. */
function divergence(p: number, q: number): number {
  if (p <= q) return 0;
  return p * Math.log(p / q) + (p < 1 ? (1 - p) * Math.log((1 - p) / (1 - q)) : 0);
}
