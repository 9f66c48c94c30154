import { METERS_PER, STRUCTURE_WORDS } from '../contract/index.ts';
import { isStructure, type Measure, type Places } from './places.ts';

/** One plain condition on a place. */
export type Condition =
  | { readonly family: 'word'; readonly words: readonly string[]; readonly name: string }
  | { readonly family: Measure; readonly from: number; readonly to: number };

/** Conditions that all hold, of different families. */
export interface Rule {
  readonly conditions: readonly Condition[];
  readonly score: number;
}

/** Conditions with the places that meet each, as bit sets over one list of places. */
export interface RuleTable {
  readonly places: Places;
  readonly conditions: readonly Condition[];
  /** One bit a place. */
  readonly bits: readonly Uint32Array[];
  readonly all: Float64Array;
  readonly structure: Uint32Array;
  readonly structureCount: number;
  /** Share of the background that meets two conditions, by `i * conditions + j`; NaN until it is asked for. */
  readonly pairs: Float64Array;
}

const FAMILIES: readonly (readonly [name: string, words: readonly string[]])[] = [
  ...STRUCTURE_WORDS.map((word): [string, string[]] => [word, [word]]),
  ['high', ['hump', 'ridge', 'point', 'outside-turn']],
  ['low', ['hole', 'ditch', 'inside-turn']],
  ['edge', ['ledge', 'channel-edge']],
];
/** ft: bounds of the depth conditions. */
const DEPTH_STEP = 3 * METERS_PER.ft;
const DEPTHS = 16;
const MEASURED: readonly (readonly [Measure, readonly number[], 'least' | 'most'])[] = [
  ['relief', [4, 7, 10, 15, 20].map((feet) => feet * METERS_PER.ft), 'least'],
  ['face', [4, 6, 8, 12, 16, 20], 'least'],
  ['channel', [20, 40, 60], 'most'],
  ['lip', [40 * METERS_PER.ft], 'most'],
];
/** What a condition costs, in units of the logarithm of their number, and most of one rule. */
const PRICE = 0.6;
const MOST_CONDITIONS = 3;
/** Part of the background that is structure: anglers mark structure. */
const STRUCTURE_PART = 0.85;
/** Marks without fish count as the background beside this many places of the lake. */
const BACKGROUND_MARKS = 10;
/** Rules that are carried on to one condition more. */
const BEAM = 40;
/** Rules this near the best are averaged. */
const NEAR_BEST = 3;

export const meets = (condition: Condition, places: Places, i: number): boolean =>
  condition.family === 'word'
    ? condition.words.includes(STRUCTURE_WORDS[places.word[i]])
    : places.measures[condition.family][i] >= condition.from &&
      places.measures[condition.family][i] <= condition.to;

function allConditions(): Condition[] {
  const intervals = (['depth', 'top', 'base'] as const).flatMap((family) =>
    Array.from({ length: DEPTHS }, (_, a) =>
      Array.from({ length: 5 }, (_, wide) => ({
        family,
        from: a * DEPTH_STEP,
        to: (a + wide + 1) * DEPTH_STEP,
      })),
    ).flat(),
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

/** @param places Background: a spread of places over the sounded water. Conditions that none meets are left out. */
export function ruleTable(places: Places): RuleTable {
  const conditions = allConditions();
  const sets = conditions.map((condition) => bitsOf(places.count, (i) => meets(condition, places, i)));
  const kept = conditions.map((_, c) => c).filter((c) => sets[c].some((word) => word !== 0));
  const structure = bitsOf(places.count, (i) => isStructure(places.word[i]));
  const structureCount = countBits(structure);
  const bits = kept.map((c) => sets[c]);
  return {
    places,
    conditions: kept.map((c) => conditions[c]),
    bits,
    structure,
    structureCount,
    all: Float64Array.from(bits, (set) => share(set, structure, structureCount, places.count)),
    pairs: new Float64Array(kept.length ** 2).fill(Number.NaN),
  };
}

function bitsOf(count: number, has: (i: number) => boolean): Uint32Array {
  const bits = new Uint32Array(Math.ceil(count / 32));
  for (let i = 0; i < count; i++) if (has(i)) bits[i >> 5] |= 1 << (i & 31);
  return bits;
}

/** Set bits of a word. Source: the population count by parallel sums, in the public domain. */
function ones(word: number): number {
  let v = word - ((word >>> 1) & 0x55555555);
  v = (v & 0x33333333) + ((v >>> 2) & 0x33333333);
  return Math.imul((v + (v >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
}
const countBits = (bits: Uint32Array): number => bits.reduce((sum, word) => sum + ones(word), 0);

/** Share of the background in a set: mostly of structure, half a place more so that it is never 0. */
function share(set: Uint32Array, structure: Uint32Array, structureCount: number, count: number): number {
  let [all, onStructure] = [0, 0];
  for (let w = 0; w < set.length; w++) {
    all += ones(set[w]);
    onStructure += ones(set[w] & structure[w]);
  }
  return (
    STRUCTURE_PART * ((onStructure + 0.5) / (structureCount + 1)) +
    (1 - STRUCTURE_PART) * ((all + 0.5) / (count + 1))
  );
}

const and = (a: Uint32Array, b: Uint32Array): Uint32Array => a.map((word, w) => word & b[w]);

interface Candidate {
  readonly of: readonly number[];
  readonly marks: Uint32Array;
  readonly score: number;
}

/**
 * Rules that the marks with fish meet more than the background does: the best, and all within 3 of it, best first.
 *
 * All rules of up to three conditions of different families that hold at half of the marks or more; n KL(k / n, background) less
 * 0.6 ln(conditions) a condition. Of two and three conditions the 40 best are carried on.
 *
 * @param fish Measured marks with fish. @param blanks Marks without; they move the background toward themselves.
 */
export function searchRules(table: RuleTable, fish: Places, blanks?: Places): Rule[] {
  const { conditions, bits } = table;
  const count = conditions.length;
  const price = PRICE * Math.log(count);
  const own = conditions.map((condition) => bitsOf(fish.count, (i) => meets(condition, fish, i)));
  const without =
    blanks === undefined || blanks.count === 0
      ? []
      : conditions.map((condition) => bitsOf(blanks.count, (i) => meets(condition, blanks, i)));
  const scoreOf = (of: readonly number[], marks: Uint32Array, background: number): number => {
    const n = fish.count;
    const k = countBits(marks);
    if (k * 2 < n) return -Infinity;
    let b = background;
    if (blanks !== undefined && without.length > 0) {
      const blank = countBits(of.map((c) => without[c]).reduce(and));
      b = (BACKGROUND_MARKS * background + blank) / (BACKGROUND_MARKS + blanks.count);
    }
    return n * divergence(k / n, b) - price * of.length;
  };
  const pairShare = (i: number, j: number): number => {
    const at = i * count + j;
    if (Number.isNaN(table.pairs[at])) table.pairs[at] = backgroundOf(table, and(bits[i], bits[j]));
    return table.pairs[at];
  };
  let layer: Candidate[] = own
    .map((marks, c): Candidate => ({ of: [c], marks, score: scoreOf([c], marks, table.all[c]) }))
    .filter(({ score }) => score > -Infinity);
  const singles = layer.map(({ of }) => of[0]);
  const found = [...layer];
  for (let size = 2; size <= MOST_CONDITIONS; size++) {
    const next = new Map<string, Candidate>();
    const open = size === 2 ? layer : layer.toSorted((a, b) => b.score - a.score).slice(0, BEAM);
    for (const { of, marks } of open) {
      const base = size === 2 ? undefined : of.map((c) => bits[c]).reduce(and);
      for (const c of singles) {
        if (size === 2 ? c <= of[0] : of.includes(c)) continue;
        if (of.some((other) => conditions[other].family === conditions[c].family)) continue;
        const both = and(marks, own[c]);
        if (countBits(both) * 2 < fish.count) continue;
        const rule = [...of, c].sort((a, b) => a - b);
        const key = rule.join();
        if (next.has(key)) continue;
        const background =
          base === undefined ? pairShare(rule[0], rule[1]) : backgroundOf(table, and(base, bits[c]));
        next.set(key, { of: rule, marks: both, score: scoreOf(rule, both, background) });
      }
    }
    layer = [...next.values()];
    found.push(...layer);
  }
  const best = found.reduce((most, { score }) => Math.max(most, score), -Infinity);
  return found
    .filter(({ score }) => score > 0 && score >= best - NEAR_BEST)
    .sort((a, b) => b.score - a.score || a.of.length - b.of.length || a.of.join().localeCompare(b.of.join()))
    .map(({ of, score }) => ({ conditions: of.map((c) => conditions[c]), score }));
}

const backgroundOf = ({ structure, structureCount, places }: RuleTable, set: Uint32Array): number =>
  share(set, structure, structureCount, places.count);

/** Kullback-Leibler divergence of two shares, where the first is the greater; else 0. */
function divergence(p: number, q: number): number {
  if (p <= q) return 0;
  return p * Math.log(p / q) + (p < 1 ? (1 - p) * Math.log((1 - p) / (1 - q)) : 0);
}

/** Mean over rules of whether a place meets them all, 0 to 1. */
export function ruleScores(rules: readonly Rule[], places: Places): Float64Array {
  return Float64Array.from({ length: places.count }, (_, i) => {
    const met = rules.filter(({ conditions }) =>
      conditions.every((condition) => meets(condition, places, i)),
    );
    return rules.length === 0 ? 0 : met.length / rules.length;
  });
}
