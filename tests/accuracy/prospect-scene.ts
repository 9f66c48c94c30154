import { STRUCTURE_WORDS } from '../../shared/contract/fields.ts';
import { type LakeGrid, nodeAt } from '../../shared/lake/lake-grid.ts';
import { findLakeLines } from '../../shared/lake/lake-lines.ts';
import { randomIndex } from '../../shared/math/random.ts';
import { type LakePlaces, lakePlaces, onGround } from '../../shared/prospect/lake-places.ts';
import { apart, isStructure, type Measure } from '../../shared/prospect/places.ts';
import { type Known, prospect } from '../../shared/prospect/prospect.ts';

/** Share of the marks that lie off the rule. */
const OFF = 0.15;
/** A proposed place is right within this distance of a true one, m. */
const RIGHT = 15;
const OPTIONS = { places: 10, apart: 40, any: false };
/** True places that there have to be besides the marks. */
const SPARE = 20;
/** Marks of a clump, and how far from its first they lie, m. */
const CLUMP = 4;
const CLUMP_RADIUS = 70;

/** Depths that three tenths of a bottom's places are shallower and deeper than, m. */
const MIDDLE = [0.3, 0.7] as const;

/** A bottom as places about 15 m apart. */
interface Bottom {
  readonly lake: LakePlaces;
  readonly middle: readonly [from: number, to: number];
}

/** A lake as the passes give it, and as it is. */
export interface Scene {
  readonly seen: Bottom;
  readonly truth: Bottom;
}

/** What the fish go by: measured on the true bottom, never a word. */
export type HiddenRule = (measures: (name: Measure) => number, isMiddle: boolean) => boolean;

export const HIDDEN_RULES: readonly HiddenRule[] = [
  // At the lip of a face.
  (of) => of('lip') <= 12 && of('face') >= 8,
  // The same in water of middle depth.
  (of, isMiddle) => of('lip') <= 15 && isMiddle,
  // High: 4 ft lower to both sides.
  (of) => of('sharp') >= 1.2,
  // Low, or in the bed of a channel.
  (of) => of('sharp') <= -1.2 || of('channel') <= 10,
  // Contours turn about it, in water of middle depth.
  (of, isMiddle) => of('turn') >= 0.35 && isMiddle,
];

function holdingAt({ lake: { water }, middle: [from, to] }: Bottom, rule: HiddenRule): number[] {
  return [...water.node.keys()].filter((i) =>
    rule((name) => water.measures[name][i], water.measures.depth[i] >= from && water.measures.depth[i] <= to),
  );
}

/** Of the truth only measures are asked for. */
const NO_WORDS = 0;

/** @param trueDepth By node of the grid, m; NaN where it is not known. */
export function sceneOf(grid: LakeGrid, trueDepth: Float32Array): Scene {
  const depth = grid.depth.map((known, k) => (Number.isNaN(trueDepth[k]) ? Number.NaN : known));
  return { seen: bottomOf({ ...grid, depth }), truth: bottomOf({ ...grid, depth: trueDepth }, NO_WORDS) };
}

/** Without draws: how sure a line or place is does not matter here. */
function bottomOf(known: LakeGrid, background?: number): Bottom {
  const grid = { ...known, draws: [] };
  const lake = lakePlaces({ grid, lines: findLakeLines(grid), areas: [] }, background);
  const depths = lake.water.measures.depth.toSorted();
  const [from, to] = MIDDLE.map((share) => depths[Math.floor(share * depths.length)]);
  return { lake, middle: [from, to] };
}

/** Right ones of the places that each way proposes in the runs that say a pattern. */
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

/** One set of marks by a rule, most of them, and what is proposed for it. Too few true places leave nothing to propose. */
export function tallyRule(
  { seen, truth }: Scene,
  rule: HiddenRule,
  count: number,
  isClumped: boolean,
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
    isClumped,
    random,
    right.map((i) => water.node[i]),
    structure,
  );
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

/** One set of marks on structure anywhere. @returns Whether a pattern is said. */
export function saysWithoutRule(
  { seen: { lake } }: Scene,
  count: number,
  isClumped: boolean,
  random: () => number,
): boolean {
  const structure = structureNodes(lake);
  const marks = marksAmong(lake.grid, count, isClumped, random, structure, structure);
  const model = { grid: lake.grid, lines: [], areas: [] };
  return prospect(model, knownAt(lake.grid, marks), OPTIONS, lake).pattern !== undefined;
}

const structureNodes = ({ background }: LakePlaces): number[] =>
  Array.from(background.node).filter((_, i) => isStructure(background.word[i]));

/** Nodes of marks: most from some, the others from elsewhere; clumped ones within 70 m of every fourth. */
function marksAmong(
  grid: LakeGrid,
  count: number,
  isClumped: boolean,
  random: () => number,
  some: readonly number[],
  elsewhere: readonly number[],
): number[] {
  const marks: number[] = [];
  let middle: number | undefined;
  for (let n = 0; n < count; n++) {
    const from = random() < OFF ? elsewhere : some;
    if (n % CLUMP === 0) middle = undefined;
    const near =
      isClumped && middle !== undefined
        ? from.filter((node) => apart(grid, node, middle!) <= CLUMP_RADIUS)
        : from;
    const mark = near.length > 0 ? near[randomIndex(random, near.length)] : middle!;
    middle ??= mark;
    marks.push(mark);
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

/** Places of the background with the marks' commonest word, those nearest to the depth of a mark first. */
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
