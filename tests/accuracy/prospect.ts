import { makeLake } from '../../fixtures/lakes/lake.ts';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { STRUCTURE_WORDS } from '../../shared/contract/fields.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { type LakeGrid, makeLakeGrid, nodeAt } from '../../shared/lake/lake-grid.ts';
import { placeOf } from '../../shared/lake/lake-lines.ts';
import { randomIndex, seededRandom } from '../../shared/math/random.ts';
import { isStructure, measurerOf, type Places } from '../../shared/prospect/places.ts';
import { type Known, type LakePlaces, lakePlaces, prospect } from '../../shared/prospect/prospect.ts';
import type { Section } from '../sections.ts';
import { forEachRealScene } from './real-scenes.ts';
import { triangulate } from './triangulated.ts';

/** Seeds of the made lakes; none was used to choose a constant. */
const SEEDS = [83_000_000, 84_000_000];
const COUNTS = [5, 10, 20, 40];
const RUNS = 3;
/** Share of the marks that lie off the rule. */
const OFF = 0.15;
/** A proposed place is right within this distance of a true one, m. */
const RIGHT = 15;
const OPTIONS = { places: 10, apart: 40, any: false };

type Rule = readonly [name: string, holds: (places: Places, i: number) => boolean];
const word = (name: string, { word: words }: Places, i: number): boolean =>
  STRUCTURE_WORDS[words[i]] === name;
/** What the fish go by, on the true bottom. */
const RULES: readonly Rule[] = [
  ['lip, face 8+ deg', ({ measures }, i) => measures.lip[i] <= 12 && measures.face[i] >= 8],
  ['ridge or hump', (places, i) => word('ridge', places, i) || word('hump', places, i)],
  [
    'turned, 4 to 9 m',
    (places, i) =>
      places.measures.turn[i] > 0.35 && places.measures.depth[i] >= 4 && places.measures.depth[i] <= 9,
  ],
  ['ditch or hole', (places, i) => word('ditch', places, i) || word('hole', places, i)],
];

interface Tally {
  runs: number;
  said: number;
  places: number;
  right: number;
  random: number;
  structure: number;
  nearest: number;
  known: number;
}
const METHODS = ['random', 'structure', 'nearest', 'right', 'known'] as const;

/** Hidden rules on bottoms that are known everywhere: how many of the ten places first proposed meet them. */
export const section: Section = {
  name: 'prospect',
  run(print) {
    print(
      'precision at 10: random / any structure / same word nearest depth / proposed / rule known; pattern said',
    );
    for (const seed of SEEDS) {
      const lake = makeLake({ seed, perWord: 4, roughness: 0.02 });
      const center = [lake.width / 2, lake.height / 2] as const;
      const local = simulateSurvey(lake, { seed, spacing: 25, center, radius: Math.hypot(...center) });
      const grid = makeLakeGrid(toSoundings(local, 37, -86));
      const frame = localFrame(37, -86);
      if (grid !== undefined)
        printScene(
          `made lake ${seed}`,
          grid,
          (lat, lon) => lake.depth(...frame.toLocal(lat, lon)),
          seed,
          print,
        );
    }
    forEachRealScene(print, ({ site, way, soundings, truth: readTruth }) => {
      if (way !== 'parallel') return;
      const grid = makeLakeGrid(soundings);
      if (grid === undefined) return;
      const truth = readTruth();
      const places = truth.map(([lat, lon]) => grid.frame.toLocal(lat, lon));
      const bottom = triangulate(
        places.map(([e]) => e),
        places.map(([, n]) => n),
        truth.map(([, , depth]) => depth),
        25,
      );
      printScene(site, grid, (lat, lon) => bottom.at(...grid.frame.toLocal(lat, lon)), 1, print);
    });
  },
};

type Print = (line: string) => void;

function printScene(
  name: string,
  grid: LakeGrid,
  depthAt: (lat: number, lon: number) => number,
  seed: number,
  print: Print,
): void {
  const depth = grid.depth.map((known, k) =>
    Number.isNaN(known) ? known : depthAt(...placeOf(grid, k % grid.columns, Math.floor(k / grid.columns))),
  );
  const nodes = [...grid.depth.keys()].filter(
    (k) => (k % grid.columns) % 3 === 1 && Math.floor(k / grid.columns) % 3 === 1 && !Number.isNaN(depth[k]),
  );
  const truth = measurerOf(grid, depth)(nodes);
  const lake = lakePlaces(grid);
  const seen = lake.measure(truth.node);
  const random = seededRandom(seed);
  for (const count of COUNTS) {
    const tally: Tally = {
      runs: 0,
      said: 0,
      places: 0,
      right: 0,
      random: 0,
      structure: 0,
      nearest: 0,
      known: 0,
    };
    for (const [, holds] of RULES)
      for (let run = 0; run < RUNS; run++) tallyRun({ grid, lake }, truth, seen, holds, count, random, tally);
    if (tally.runs === 0) continue;
    const share = (method: (typeof METHODS)[number]): string =>
      (tally[method] / Math.max(1, tally.places)).toFixed(2);
    print(
      `${name}, ${String(count).padStart(2)} marks: ${METHODS.map(share).join(' / ')}; said ${tally.said} of ${tally.runs}`,
    );
  }
  // Of all the water: where the truth ends is no pattern of the angler's.
  const { water } = lake;
  for (const clump of [1, 5]) {
    let said = 0;
    for (let run = 0; run < 10; run++) {
      const structure = indices(water).filter((i) => isStructure(water.word[i]));
      const marks: number[] = [];
      while (marks.length < 20) {
        const middle = structure[randomIndex(random, structure.length)];
        const near = structure.filter((i) =>
          clump === 1 ? i === middle : apart(grid, water.node[i], water.node[middle]) <= 70,
        );
        for (let n = 0; n < clump; n++) marks.push(near[randomIndex(random, near.length)]);
      }
      if (prospect(grid, knownAt(grid, water, marks), OPTIONS, lake).pattern !== undefined) said++;
    }
    print(`${name}, no rule, 20 marks${clump === 1 ? '' : ' in clumps of 5'}: said ${said} of 10`);
  }
}

const indices = (places: Places): number[] => Array.from({ length: places.count }, (_, i) => i);
const apart = ({ columns, cell }: LakeGrid, a: number, b: number): number =>
  cell * Math.hypot((a % columns) - (b % columns), Math.floor(a / columns) - Math.floor(b / columns));
const knownAt = (grid: LakeGrid, { node }: Places, marks: readonly number[]): Known[] =>
  marks.map((i) => {
    const [lat, lon] = placeOf(grid, node[i] % grid.columns, Math.floor(node[i] / grid.columns));
    return { name: String(i), lat, lon, hasFish: true };
  });

function tallyRun(
  { grid, lake }: { readonly grid: LakeGrid; readonly lake: LakePlaces },
  truth: Places,
  seen: Places,
  holds: (places: Places, i: number) => boolean,
  count: number,
  random: () => number,
  tally: Tally,
): void {
  const right = indices(truth).filter((i) => holds(truth, i));
  // Too few true places to leave ten beside the marks.
  if (right.length < count + 40) return;
  const structure = indices(seen).filter((i) => isStructure(seen.word[i]));
  const marks = Array.from({ length: count }, () => {
    const from = random() < OFF ? structure : right;
    return from[randomIndex(random, from.length)];
  });
  const isRight = (node: number): boolean => right.some((i) => apart(grid, truth.node[i], node) <= RIGHT);
  const first = (order: readonly number[]): number[] => {
    const chosen: number[] = [];
    for (const i of order) {
      if (chosen.length >= OPTIONS.places) break;
      if (
        [...marks, ...chosen].every((other) => apart(grid, seen.node[i], seen.node[other]) >= OPTIONS.apart)
      )
        chosen.push(i);
    }
    return chosen;
  };
  const shuffled = (of: readonly number[]): number[] =>
    of
      .map((i) => [random(), i])
      .sort((a, b) => a[0] - b[0])
      .map(([, i]) => i);
  tally.runs++;
  const found = prospect(grid, knownAt(grid, seen, marks), OPTIONS, lake);
  if (found.pattern === undefined) return;
  tally.said++;
  const usual = mostOf(marks.map((i) => seen.word[i]));
  const away = (i: number): number =>
    Math.min(...marks.map((mark) => Math.abs(seen.measures.depth[i] - seen.measures.depth[mark])));
  const orders = {
    random: shuffled(indices(seen)),
    structure: shuffled(structure),
    nearest: indices(seen)
      .filter((i) => seen.word[i] === usual)
      .sort((a, b) => away(a) - away(b)),
    known: shuffled(indices(seen).filter((i) => holds(seen, i))),
  };
  tally.places += found.places.length;
  tally.right += found.places.filter((place) => isRight(nodeAt(grid, place.lat, place.lon)!)).length;
  for (const method of ['random', 'structure', 'nearest', 'known'] as const)
    tally[method] += first(orders[method]).filter((i) => isRight(seen.node[i])).length;
}

function mostOf(words: readonly number[]): number {
  const count = (word: number): number => words.filter((other) => other === word).length;
  return words.reduce((best, word) => (count(word) > count(best) ? word : best), words[0]);
}
