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
const COUNTS = [5, 10, 20];
/** Runs of each case on one lake: for each of the five rules, and without a rule. */
const RUNS = { rule: 3, none: 10 };

/** Marks that follow hidden rules on known bottoms: how many of the ten proposed places obey the rule. */
export const section: Section = {
  name: 'prospect',
  run(print) {
    print('Of ten places, how many are right, in the runs that say a pattern; and runs that say one.');
    print(
      ['bottom', 'marks', 'proposed', 'same word', 'random', 'rule known', 'said, rule', 'said, none']
        .map((head, c) => (c === 0 ? head.padEnd(12) : head.padStart(c === 1 ? 12 : 11)))
        .join(''),
    );
    for (const seed of SEEDS) {
      const scene = madeScene(seed);
      if (scene !== undefined) printScene(`made ${seed / 1e6}`, scene, print);
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
        print,
      );
    });
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

/** @param depthAt Depth by position in the frame of the grid. */
function trueScene(grid: LakeGrid, depthAt: (east: number, north: number) => number): Scene {
  const depth = grid.depth.map((known, k) => {
    const place = placeOf(grid, k % grid.columns, Math.floor(k / grid.columns));
    return Number.isNaN(known) ? known : depthAt(...grid.frame.toLocal(...place));
  });
  return sceneOf(grid, depth);
}

function printScene(name: string, scene: Scene, print: (line: string) => void): void {
  const random = seededRandom(1);
  for (const isClumped of [false, true])
    for (const count of COUNTS) {
      const tally = emptyTally();
      for (const rule of HIDDEN_RULES)
        for (let run = 0; run < RUNS.rule; run++) tallyRule(scene, rule, count, isClumped, random, tally);
      let none = 0;
      for (let run = 0; run < RUNS.none; run++) if (saysWithoutRule(scene, count, isClumped, random)) none++;
      print(rowOf(name, `${count}${isClumped ? ' clumped' : ''}`, tally, none));
    }
}

function rowOf(name: string, marks: string, tally: Tally, none: number): string {
  const share = (right: number): string =>
    tally.places === 0 ? '-' : (right / tally.places).toFixed(2).replace(/^0/, '');
  const cells = [
    ...[tally.proposed, tally.nearest, tally.random, tally.known].map(share),
    `${tally.said} of ${tally.runs}`,
    `${none} of ${RUNS.none}`,
  ];
  return `${name.padEnd(12)}${marks.padStart(12)}${cells.map((cell) => cell.padStart(11)).join('')}`;
}
