import { STRUCTURE_WORDS } from '../../shared/contract/bottom-model.ts';
import { type LakeGrid, nodeAt } from '../../shared/lake/lake-grid.ts';
import { findLakeLines } from '../../shared/lake/lake-lines.ts';
import { randomIndex } from '../../shared/math/statistics.ts';
import { type LakePlaces, lakePlaces, onGround } from '../../shared/prospect/lake-places.ts';
import { apart, isStructure, type Measure } from '../../shared/prospect/places.ts';
import { type Known, prospect } from '../../shared/prospect/prospect.ts';

/** Probability that a mark does not follow the rule. */
const OFF = 0.15;
/** Maximum distance of a right proposal from a true place, m. */
const RIGHT = 15;
const OPTIONS = { places: 10, apart: 40, any: false };
/** Minimum number of true places besides the marks. */
const SPARE = 20;
/** Number of marks in a clump. */
const CLUMP = 4;
/** Maximum distance of the marks of a clump from its first mark, m. */
const CLUMP_RADIUS = 70;
/** Minimum distance between separate marks, m. */
const SEPARATE = 100;

/** How marks are placed: independently, in clumps, or all at least `SEPARATE` apart. */
export type Layout = 'independent' | 'clumped' | 'separate';

/** Quantiles that bound middle depths. */
const MIDDLE = [0.3, 0.7] as const;

/** A bottom, sampled at places about 15 m apart. */
interface Bottom {
  readonly lake: LakePlaces;
  readonly middle: readonly [from: number, to: number];
}

/** A lake as modeled from passes, and the true lake. */
export interface Scene {
  readonly seen: Bottom;
  readonly truth: Bottom;
}

/** A rule that the fish follow, based on measures of the true bottom and never on structure words. */
export type HiddenRule = (measures: (name: Measure) => number, isMiddle: boolean) => boolean;

export const HIDDEN_RULES: readonly HiddenRule[] = [
  // At the lip of a face.
  (of) => of('lip') <= 12 && of('face') >= 8,
  // At a lip in water of middle depth.
  (of, isMiddle) => of('lip') <= 15 && isMiddle,
  // High: the bottom falls by 1.2 m (4 ft) to both sides.
  (of) => of('sharp') >= 1.2,
  // Low, or in the bed of a channel.
  (of) => of('sharp') <= -1.2 || of('channel') <= 10,
  // Where isobaths turn, in water of middle depth.
  (of, isMiddle) => of('turn') >= 0.35 && isMiddle,
];

function holdingAt({ lake: { water }, middle: [from, to] }: Bottom, rule: HiddenRule): number[] {
  return [...water.node.keys()].filter((i) =>
    rule((name) => water[name][i], water.depth[i] >= from && water.depth[i] <= to),
  );
}

/** Number of background places on the true bottom: only measures are needed there, no words. */
const NO_WORDS = 0;

/** @param trueDepth True depth by node of the grid, m; NaN where unknown. */
export function sceneOf(grid: LakeGrid, trueDepth: Float32Array): Scene {
  const depth = grid.depth.map((known, k) => (Number.isNaN(trueDepth[k]) ? Number.NaN : known));
  return { seen: bottomOf({ ...grid, depth }), truth: bottomOf({ ...grid, depth: trueDepth }, NO_WORDS) };
}

/** Samples a bottom without its draws, because the confidence of lines and places does not matter here. */
function bottomOf(known: LakeGrid, background?: number): Bottom {
  const grid = { ...known, draws: [] };
  const lake = lakePlaces({ grid, lines: findLakeLines(grid), areas: [] }, background);
  const depths = lake.water.depth.toSorted();
  const [from, to] = MIDDLE.map((share) => depths[Math.floor(share * depths.length)]);
  return { lake, middle: [from, to] };
}

/**
 * Number of runs, of runs that find a pattern (`said`) and of places proposed in the latter (`places`), and
 * the number of right places among as many by each method.
 */
export interface Tally {
  runs: number;
  said: number;
  places: number;
  proposed: number;
  nearest: number;
  random: number;
  known: number;
}

export const emptyTally = (): Tally => ({
  runs: 0,
  said: 0,
  places: 0,
  proposed: 0,
  nearest: 0,
  random: 0,
  known: 0,
});

/**
 * Runs one set of marks, most of which follow a rule, and counts the correct proposals. Does nothing when
 * there are too few true places or no room for the marks.
 */
export function tallyRule(
  { seen, truth }: Scene,
  rule: HiddenRule,
  count: number,
  layout: Layout,
  random: () => number,
  tally: Tally,
): void {
  const { lake } = seen;
  const { grid, water } = lake;
  const right = holdingAt(truth, rule);
  if (right.length < count + SPARE) return;
  const isRight = (node: number): boolean => right.some((i) => apart(grid, water.node[i], node) <= RIGHT);
  const structure = structureNodes(lake);
  const marks = marksAmong(
    grid,
    count,
    layout,
    random,
    right.map((i) => water.node[i]),
    structure,
  );
  if (marks === undefined) return;
  tally.runs++;
  const found = prospect({ grid, lines: [], areas: [] }, knownAt(grid, marks), OPTIONS, lake);
  if (found.pattern === undefined) return;
  tally.said++;
  tally.places += found.places.length;
  tally.proposed += found.places.filter((place) => isRight(nodeAt(grid, place.lat, place.lon)!)).length;
  const orders = {
    nearest: nearestDepth(lake, marks),
    random: shuffled([...water.node], random),
    known: shuffled(
      holdingAt(seen, rule).map((i) => water.node[i]),
      random,
    ),
  };
  for (const way of ['nearest', 'random', 'known'] as const) {
    const chosen: number[] = [];
    for (const node of orders[way]) {
      if (chosen.length >= OPTIONS.places) break;
      if ([...marks, ...chosen].every((other) => apart(grid, node, other) >= OPTIONS.apart))
        chosen.push(node);
    }
    tally[way] += chosen.filter(isRight).length;
  }
}

/**
 * Runs one set of marks anywhere on structure.
 * @returns True if a pattern is found; undefined without room for marks.
 */
export function saysWithoutRule(
  { seen: { lake } }: Scene,
  count: number,
  layout: Layout,
  random: () => number,
): boolean | undefined {
  const structure = structureNodes(lake);
  const marks = marksAmong(lake.grid, count, layout, random, structure, structure);
  if (marks === undefined) return undefined;
  const model = { grid: lake.grid, lines: [], areas: [] };
  return prospect(model, knownAt(lake.grid, marks), OPTIONS, lake).pattern !== undefined;
}

const structureNodes = ({ background }: LakePlaces): number[] =>
  Array.from(background.node).filter((_, i) => isStructure(background.word[i]));

/**
 * Chooses nodes for marks from `some` or, with probability `OFF`, from `elsewhere`; undefined if there is no
 * room.
 */
function marksAmong(
  grid: LakeGrid,
  count: number,
  layout: Layout,
  random: () => number,
  some: readonly number[],
  elsewhere: readonly number[],
): number[] | undefined {
  const marks: number[] = [];
  for (let n = 0; n < count; n++) {
    const from = random() < OFF ? elsewhere : some;
    const first = marks[n - (n % CLUMP)];
    const near = from.filter((node) => {
      if (layout === 'separate') return marks.every((other) => apart(grid, node, other) >= SEPARATE);
      return layout === 'independent' || first === undefined || apart(grid, node, first) <= CLUMP_RADIUS;
    });
    if (near.length > 0) marks.push(near[randomIndex(random, near.length)]);
    else if (layout === 'separate') return undefined;
    else marks.push(first);
  }
  return marks;
}

const knownAt = (grid: LakeGrid, nodes: readonly number[]): Known[] =>
  nodes.map((node) => ({ name: String(node), ...onGround(grid, node), hasFish: true }));

const shuffled = (of: readonly number[], random: () => number): number[] =>
  of
    .map((i) => [random(), i])
    .sort((a, b) => a[0] - b[0])
    .map(([, i]) => i);

/** Returns background places with the most frequent word of the marks, nearest in depth to a mark first. */
function nearestDepth({ grid, background, wordAt }: LakePlaces, marks: readonly number[]): number[] {
  const counts = new Float64Array(STRUCTURE_WORDS.length);
  for (const mark of marks) counts[wordAt(onGround(grid, mark)) ?? 0]++;
  const usual = counts.indexOf(Math.max(...counts));
  const away = (node: number): number =>
    Math.min(...marks.map((mark) => Math.abs(grid.depth[node] - grid.depth[mark])));
  return Array.from(background.node)
    .filter((_, i) => background.word[i] === usual)
    .map((node) => ({ node, away: away(node) }))
    .sort((a, b) => a.away - b.away)
    .map(({ node }) => node);
}
