import { type LakeGrid, nodeAt, placeOf } from '../lake/index.ts';
import { randomIndex, seededRandom } from '../math/index.ts';
import { bayesScores, logisticScores, standardized } from './likeness.ts';
import { isStructure, type MeasurePlaces, measurerOf, type Places } from './places.ts';
import { meets, type Rule, type RuleTable, ruleScores, ruleTable, searchRules } from './rules.ts';

/** A mark, and whether it gave fish: undefined where nothing says. */
export interface Known {
  readonly name: string;
  readonly lat: number;
  readonly lon: number;
  readonly hasFish?: boolean;
}

/** A place on sounded water that looks like the marks with fish. */
export interface ProposedPlace {
  readonly lat: number;
  readonly lon: number;
  /** m. */
  readonly depth: number;
  /** Index into `STRUCTURE_WORDS`. */
  readonly word: number;
  /** Meets the pattern on the bottom drawn. */
  readonly isMet: boolean;
  /** Share of the equally likely bottoms on which it meets the pattern (with no pattern: has its word), 0 to 1. */
  readonly sure: number;
}

export interface Prospect {
  /** Marks with fish and without on sounded water, and those that are not on it. */
  readonly fish: number;
  readonly blanks: number;
  readonly unsounded: readonly string[];
  /** Marks with fish that are 100 m or more from each other. */
  readonly separate: number;
  /** Searches of 100 on as many random places on structure that do as well as the marks. */
  readonly asWell: number;
  /** The pattern: absent when the marks are too few separate places or show nothing. */
  readonly pattern?: {
    readonly rule: Rule;
    /** Marks with fish, and without, that meet it. */
    readonly met: number;
    readonly metBlanks: number;
    /** Share of the sounded water that meets it. */
    readonly share: number;
    /** Marks that are in the best twentieth of the water when they are left out themselves; how many were left out. */
    readonly foundAgain: number;
    readonly leftOut: number;
  };
  /** Ranked where there is a pattern; else, when asked for, structure by how sure it is. */
  readonly places: readonly ProposedPlace[];
}

export interface ProspectOptions {
  readonly places: number;
  /** Least distance of proposed places from marks and from each other, m. */
  readonly apart: number;
  /** List structure when there is no pattern. */
  readonly any: boolean;
}

/** m between the places that are looked at. */
const SPACING = 15;
/** For the gate one mark within this distance counts, m, and at least so many. */
const SEPARATE = 100;
export const LEAST_SEPARATE = 5;
const SEARCHES = 100;
const MOST_AS_WELL = 5;
/** Places of the background that conditions are counted on, and that the regression uses; most marks that are left out in turn. */
const BACKGROUND = 6000;
const REGRESSION = 1000;
const LEFT_OUT = 40;
/** Weight of the counted rules in the score. */
const RULE_WEIGHT = 0.5;
/** Half the side of a window about a place in which a draw is measured, m. */
const WINDOW = 120;
const BEST_SHARE = 0.05;

/** Places of the water of a lake, and what measures more of them. */
export interface LakePlaces {
  /** About 15 m apart both ways. */
  readonly water: Places;
  readonly measure: MeasurePlaces;
}

/** Measures the water of a lake. */
export function lakePlaces(grid: LakeGrid): LakePlaces {
  const measure = measurerOf(grid, grid.depth);
  return { water: measure(latticeNodes(grid)), measure };
}

/**
 * Finds what marks with fish have in common, and unmarked places on sounded water that look the same.
 *
 * The pattern counts only when its rule beats 95 of 100 searches on as many random places on structure. Deterministic. Nothing
 * here is a chance of fish.
 */
export function prospect(
  grid: LakeGrid,
  marks: readonly Known[],
  options: ProspectOptions,
  { water, measure }: LakePlaces = lakePlaces(grid),
): Prospect {
  const isOn = (mark: Known): boolean => {
    const node = nodeAt(grid, mark.lat, mark.lon);
    return node !== undefined && !Number.isNaN(grid.depth[node]);
  };
  const known = marks.filter(isOn);
  const nodesOf = (some: readonly Known[]): number[] => some.map(({ lat, lon }) => nodeAt(grid, lat, lon)!);
  const withFish = known.filter(({ hasFish }) => hasFish === true);
  const without = known.filter(({ hasFish }) => hasFish === false);
  const measured = measure(nodesOf([...withFish, ...without]));
  const fish = part(measured, (i) => i < withFish.length);
  const blanks = part(measured, (i) => i >= withFish.length);
  const spread = thinned(grid, fish.node, SEPARATE);
  const account = {
    fish: fish.count,
    blanks: blanks.count,
    unsounded: marks.filter((mark) => !isOn(mark)).map(({ name }) => name),
    separate: spread.length,
  };
  const taken = nodesOf(known);
  const table = ruleTable(everyNth(water, Math.ceil(water.count / BACKGROUND)));
  const thin = new Set(spread);
  const asWell =
    spread.length < LEAST_SEPARATE
      ? SEARCHES
      : beatenBy(
          grid,
          table,
          // The first of several marks at one node.
          part(fish, (i) => thin.delete(fish.node[i])),
          blanks,
        );
  const rules =
    asWell <= MOST_AS_WELL && spread.length >= LEAST_SEPARATE ? searchRules(table, fish, blanks) : [];
  if (rules.length === 0)
    return { ...account, asWell, places: options.any ? anyStructure(grid, water, taken, options) : [] };
  const [rule] = rules;
  const isMet = (of: Places, i: number): boolean =>
    rule.conditions.every((condition) => meets(condition, of, i));
  const count = (of: Places): number =>
    Array.from({ length: of.count }, (_, i) => i).filter((i) => isMet(of, i)).length;
  const scores = likeness(table, rules, fish, blanks, water);
  const chosen = pick(grid, water.node, scores, taken, options);
  return {
    ...account,
    asWell,
    pattern: {
      rule,
      met: count(fish),
      metBlanks: count(blanks),
      share: count(water) / water.count,
      ...leaveOut(table, fish, blanks, everyNth(water, Math.ceil(water.count / (2 * REGRESSION)))),
    },
    places: chosen.map((i) => proposed(grid, water, i, isMet)),
  };
}

/** Nodes about 15 m apart both ways with a depth. */
function latticeNodes({ columns, rows, cell, depth }: LakeGrid): number[] {
  const step = Math.max(1, Math.round(SPACING / cell));
  const nodes: number[] = [];
  for (let y = step >> 1; y < rows; y += step)
    for (let x = step >> 1; x < columns; x += step)
      if (!Number.isNaN(depth[y * columns + x])) nodes.push(y * columns + x);
  return nodes;
}

export function part(places: Places, keep: (i: number) => boolean): Places {
  const at = Array.from({ length: places.count }, (_, i) => i).filter(keep);
  const measures = Object.fromEntries(
    Object.entries(places.measures).map(([name, values]) => [name, Float64Array.from(at, (i) => values[i])]),
  ) as Places['measures'];
  return {
    count: at.length,
    node: Int32Array.from(at, (i) => places.node[i]),
    word: Uint8Array.from(at, (i) => places.word[i]),
    measures,
  };
}

const everyNth = (places: Places, n: number): Places => part(places, (i) => i % Math.max(1, n) === 0);

const apart = ({ columns, cell }: LakeGrid, a: number, b: number): number =>
  cell * Math.hypot((a % columns) - (b % columns), Math.floor(a / columns) - Math.floor(b / columns));

/** Nodes that are farther than `least` from every one before them. */
function thinned(grid: LakeGrid, nodes: Iterable<number>, least: number): number[] {
  const kept: number[] = [];
  for (const node of nodes) if (kept.every((other) => apart(grid, node, other) >= least)) kept.push(node);
  return kept;
}

/**
 * Of 100 searches on as many random places on structure, as far from each other, how many find as good a rule.
 *
 * Where a lake has no room for so many, nothing can be told: that counts as one that does.
 */
function beatenBy(grid: LakeGrid, table: RuleTable, marks: Places, blanks: Places): number {
  const best = (of: Places): number => searchRules(table, of, blanks)[0]?.score ?? 0;
  const own = best(marks);
  if (own <= 0) return SEARCHES;
  const { places } = table;
  const all = Array.from({ length: places.count }, (_, i) => i);
  const structure = all.filter((i) => isStructure(places.word[i]));
  const from = structure.length > 0 ? structure : all;
  const random = seededRandom(1);
  let asWell = 0;
  for (let search = 0; search < SEARCHES; search++) {
    const chosen: number[] = [];
    for (let tries = 0; chosen.length < marks.count && tries < 50 * marks.count; tries++) {
      const place = from[randomIndex(random, from.length)];
      if (chosen.every((other) => apart(grid, places.node[place], places.node[other]) >= SEPARATE))
        chosen.push(place);
    }
    const set = new Set(chosen);
    if (chosen.length < marks.count || best(part(places, (i) => set.has(i))) >= own) asWell++;
  }
  return asWell;
}

/** How much each place looks like the marks with fish: no unit, and no chance of fish. */
function likeness(
  table: RuleTable,
  rules: readonly Rule[],
  fish: Places,
  blanks: Places,
  places: Places,
): Float64Array {
  const background =
    blanks.count >= LEAST_BLANKS
      ? joined(everyNth(table.places, Math.ceil(table.places.count / (4 * blanks.count))), blanks)
      : table.places;
  const some = everyNth(background, Math.ceil(background.count / REGRESSION));
  const bayes = standardized(bayesScores(fish, background, places));
  const logit = standardized(logisticScores(fish, some, places));
  const rule = standardized(ruleScores(rules, places));
  return rule.map((value, i) => bayes[i] + logit[i] + RULE_WEIGHT * value);
}

/** From so many on, marks without fish are the other side, beside four places of the lake for each. */
const LEAST_BLANKS = 5;

function joined(a: Places, b: Places): Places {
  const measures = Object.fromEntries(
    Object.entries(a.measures).map(([name, values]) => [
      name,
      Float64Array.of(...values, ...b.measures[name as keyof Places['measures']]),
    ]),
  ) as Places['measures'];
  return {
    count: a.count + b.count,
    node: Int32Array.of(...a.node, ...b.node),
    word: Uint8Array.of(...a.word, ...b.word),
    measures,
  };
}

/** Indices of the best places that are far enough from marks and each other, best first. */
function pick(
  grid: LakeGrid,
  nodes: Int32Array,
  scores: Float64Array,
  taken: readonly number[],
  { places, apart: least }: ProspectOptions,
): number[] {
  const order = Array.from(scores.keys()).sort((a, b) => scores[b] - scores[a] || a - b);
  const chosen: number[] = [];
  for (const i of order) {
    if (chosen.length >= places) break;
    const isFree = (node: number): boolean => apart(grid, nodes[i], node) >= least;
    if (taken.every(isFree) && chosen.every((other) => isFree(nodes[other]))) chosen.push(i);
  }
  return chosen;
}

/** Leaves marks out in turn and counts those that are then in the best twentieth of the water. */
function leaveOut(
  table: RuleTable,
  fish: Places,
  blanks: Places,
  water: Places,
): { foundAgain: number; leftOut: number } {
  const leftOut = Math.min(LEFT_OUT, fish.count);
  let foundAgain = 0;
  for (let n = 0; n < leftOut; n++) {
    const own = Math.floor((n * fish.count) / leftOut);
    const others = part(fish, (i) => i !== own);
    const scores = likeness(
      table,
      searchRules(table, others, blanks),
      others,
      blanks,
      joined(
        water,
        part(fish, (i) => i === own),
      ),
    );
    const mine = scores[water.count];
    const better = scores.subarray(0, water.count).reduce((sum, score) => sum + (score > mine ? 1 : 0), 0);
    if (better < BEST_SHARE * water.count) foundAgain++;
  }
  return { foundAgain, leftOut };
}

/** Structure of the lake, surest first: no order of promise. */
function anyStructure(
  grid: LakeGrid,
  water: Places,
  taken: readonly number[],
  options: ProspectOptions,
): ProposedPlace[] {
  const forms = part(water, (i) => isStructure(water.word[i]));
  // Draws are costly, so only the places of most relief are held against them.
  const relief = forms.measures.relief;
  const many = pick(grid, forms.node, relief, taken, { ...options, places: 4 * options.places });
  return many
    .map((i) => proposed(grid, forms, i, (of, at) => of.word[at] === forms.word[i]))
    .sort((a, b) => b.sure - a.sure)
    .slice(0, options.places);
}

/** A place with the share of draws on which `isMet` holds: each is measured anew in a window about it. */
function proposed(
  grid: LakeGrid,
  water: Places,
  i: number,
  isMet: (of: Places, i: number) => boolean,
): ProposedPlace {
  const node = water.node[i];
  const [x, y] = [node % grid.columns, Math.floor(node / grid.columns)];
  const span = Math.ceil(WINDOW / grid.cell);
  const [x0, y0] = [Math.max(0, x - span), Math.max(0, y - span)];
  const window = {
    columns: Math.min(grid.columns - 1, x + span) - x0 + 1,
    rows: Math.min(grid.rows - 1, y + span) - y0 + 1,
    cell: grid.cell,
  };
  const met = grid.draws.filter((draw) => {
    const depth = Float64Array.from(
      { length: window.columns * window.rows },
      (_, k) => draw[(y0 + Math.floor(k / window.columns)) * grid.columns + x0 + (k % window.columns)],
    );
    const one = measurerOf(window, depth, false)([(y - y0) * window.columns + x - x0]);
    return one.count > 0 && isMet(one, 0);
  });
  const [lat, lon] = placeOf(grid, x, y);
  return {
    lat,
    lon,
    depth: grid.depth[node],
    word: water.word[i],
    isMet: isMet(water, i),
    sure: met.length / Math.max(1, grid.draws.length),
  };
}
