import { makeLake } from '../../fixtures/lakes/lake.ts';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { type LakeGrid, makeLakeGrid } from '../../shared/lake/lake-grid.ts';
import { placeOf } from '../../shared/lake/lake-lines.ts';
import { seededRandom } from '../../shared/math/statistics.ts';
import type { Section } from '../sections.ts';
import {
  emptyTally,
  HIDDEN_RULES,
  type Layout,
  type Scene,
  saysWithoutRule,
  sceneOf,
  type Tally,
  tallyRule,
} from './prospect-scene.ts';
import { forEachRealScene } from './real-scenes.ts';
import { triangulate } from './triangulated.ts';

/** Seeds of the synthetic lakes; none was used to choose a constant. */
const SEEDS = [83_000_000, 84_000_000];
const CASES: readonly (readonly [count: number, layout: Layout])[] = [
  ...[5, 10, 20].map((count) => [count, 'independent'] as const),
  ...[5, 10, 20].map((count) => [count, 'clumped'] as const),
  [10, 'separate'],
];
/** Number of runs of each case on one lake: for each of the five rules, and without a rule. */
const RUNS = { rule: 3, none: 10 };

/**
 * Counts how many proposed places obey the hidden rule of the marks, on bottoms that are known everywhere.
 */
export const section: Section = {
  name: 'prospect',
  run(print) {
    print(
      'Share of the places proposed by each method that are right, and the number of runs that find a pattern.',
    );
    print(
      ['bottom', 'marks', 'proposed', 'same word', 'random', 'rule known', 'with rule', 'no rule']
        .map((head, c) => (c === 0 ? head.padEnd(12) : head.padStart(c === 1 ? 12 : 11)))
        .join(''),
    );
    const [made, real] = [new Map<string, Cell>(), new Map<string, Cell>()];
    for (const seed of SEEDS) {
      const scene = madeScene(seed);
      if (scene !== undefined) printScene(`synth. ${seed / 1e6}`, scene, made, print);
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
      printScene(
        site,
        trueScene(grid, (east, north) => bottom.at(east, north)),
        real,
        print,
      );
    });
    print('All lakes, and in parentheses the prototype: share right of proposed and of same word.');
    printAll('all synth.', made, PROTOTYPE.made, print);
    printAll('all real', real, PROTOTYPE.real, print);
  },
};

function madeScene(seed: number): Scene | undefined {
  const lake = makeLake({ seed, perWord: 2, roughness: 0.02 });
  const center = [lake.width / 2, lake.height / 2] as const;
  const local = simulateSurvey(lake, { seed, spacing: 25, center, radius: Math.hypot(...center) });
  const grid = makeLakeGrid(toSoundings(local, 37, -86));
  const frame = localFrame(37, -86);
  return (
    grid &&
    trueScene(grid, (east, north) => lake.depth(...frame.toLocal(...grid.frame.toGeographic(east, north))))
  );
}

/** @param depthAt Returns the true depth at a position in the frame of the grid, m. */
function trueScene(grid: LakeGrid, depthAt: (east: number, north: number) => number): Scene {
  const depth = grid.depth.map((known, k) => {
    const place = placeOf(grid, k % grid.columns, Math.floor(k / grid.columns));
    return Number.isNaN(known) ? known : depthAt(...grid.frame.toLocal(...place));
  });
  return sceneOf(grid, depth);
}

function printScene(name: string, scene: Scene, all: Map<string, Cell>, print: (line: string) => void): void {
  const random = seededRandom(1);
  for (const [count, layout] of CASES) {
    const tally = emptyTally();
    for (const rule of HIDDEN_RULES)
      for (let run = 0; run < RUNS.rule; run++) tallyRule(scene, rule, count, layout, random, tally);
    let [none, noneRuns] = [0, 0];
    for (let run = 0; run < RUNS.none; run++) {
      const isSaid = saysWithoutRule(scene, count, layout, random);
      if (isSaid !== undefined) noneRuns++;
      if (isSaid) none++;
    }
    const marks = layout === 'independent' ? `${count}` : `${count} ${layout}`;
    const cell = { tally, none, noneRuns };
    print(rowOf(name, marks, cell));
    all.set(marks, addCells(all.get(marks), cell));
  }
}

/**
 * Results for one number and layout of marks: with a rule (`tally`), and runs without a rule that find a
 * pattern.
 */
interface Cell {
  readonly tally: Tally;
  readonly none: number;
  readonly noneRuns: number;
}

function addCells(a: Cell | undefined, b: Cell): Cell {
  if (a === undefined) return b;
  const tally = emptyTally();
  for (const key of Object.keys(tally) as (keyof Tally)[]) tally[key] = a.tally[key] + b.tally[key];
  return { tally, none: a.none + b.none, noneRuns: a.noneRuns + b.noneRuns };
}

/**
 * Shares of right places that the prototype reached, by number of marks: of its proposals, and of places with
 * the most common word of the marks at the nearest depth. The prototype was measured on the same real
 * bottoms, but with other rules and synthetic lakes.
 */
const PROTOTYPE: Readonly<Record<'made' | 'real', Readonly<Record<string, string>>>> = {
  made: { '5': '.85, .62', '10': '.90, .63', '20': '.93, .63' },
  real: { '5': '.70, .56', '10': '.78, .56', '20': '.75, .57' },
};

function printAll(
  name: string,
  cells: ReadonlyMap<string, Cell>,
  prototype: Readonly<Record<string, string>>,
  print: (line: string) => void,
): void {
  for (const [marks, cell] of cells)
    print(`${rowOf(name, marks, cell)}${prototype[marks] === undefined ? '' : `   (${prototype[marks]})`}`);
}

function rowOf(name: string, marks: string, { tally, none, noneRuns }: Cell): string {
  const share = (right: number): string =>
    tally.places === 0 ? '-' : (right / tally.places).toFixed(2).replace(/^0/, '');
  const cells = [
    ...[tally.proposed, tally.nearest, tally.random, tally.known].map(share),
    `${tally.said} of ${tally.runs}`,
    `${none} of ${noneRuns}`,
  ];
  return `${name.padEnd(12)}${marks.padStart(12)}${cells.map((cell) => cell.padStart(11)).join('')}`;
}
