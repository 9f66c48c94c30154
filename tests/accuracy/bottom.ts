import { floodedGully, floodedVolcano } from '../../fixtures/lakes/terrain.ts';
import type { LocalSoundings } from '../../shared/bottom/local-rows.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { findStructure } from '../../shared/structure/structure.ts';
import { reference } from '../reference.ts';
import type { Section } from '../sections.ts';
import { type Answer, answerOf, Errors, type Goals } from './bottom-errors.ts';
import { type Scenario, scenarioMarks } from './bottom-marks.ts';
import { OTHER_METHODS } from './other-methods.ts';
import { printRealBottoms } from './real-bottoms.ts';
import { leaveBlocksOut } from './real-lake.ts';
import { printHeadings, printTerrain } from './real-terrain.ts';

/**
 * First seed of the bottoms on which the goals are judged; no table or law was fitted to them. The
 * environment variable `SEED` replaces it.
 *
 * Results for 5, 8 and 11 million were visible while the model was developed. Changes were tried on 21, 23,
 * 41 to 43 and 71 to 74 million, and on the gully at 7, 31 to 36, 41 to 54 and 61 to 69 million. 17 million
 * was first run when everything else was finished.
 */
const SEED = Number(process.env.SEED ?? 5_000_000);
const PER_WORD = 20;
/** Water level at which the whole gully is flooded, m. */
const WHOLE = 1735;

const ERRORS = { noise: 0.1, offset: 1, bias: 0.05 };
const NO_ERRORS = { noise: 0, offset: 0, bias: 0 };
/**
 * The goals are judged on twelve times as many marks as other rows, because a few steep ones decide the RMSE.
 */
const JUDGED_PER_WORD = 4 * PER_WORD;
const JUDGED_SEEDS = [SEED, SEED + 3_000_000, SEED + 6_000_000];
/** Soundings 1 m apart, as a sonar with two or three pings per second records them at idle speed. */
const EVEN = { ...ERRORS, step: 1 };
const EVEN_25: Scenario = {
  name: 'even bottom, 25 m passes, soundings 1 m apart',
  bottom: { roughness: 0.02 },
  survey: { spacing: 25, ...EVEN },
};
const EVEN_40: Scenario = {
  name: 'even bottom, 40 m, soundings 1 m apart',
  bottom: { roughness: 0.02 },
  survey: { spacing: 40, ...EVEN },
};
const ROUGH_30: Scenario = {
  name: 'rough bottom (0.1 m, heights times 0.75), 30 m, second feature, 2 m offset, 0.15 m noise, soundings 1 m apart',
  bottom: { relief: 0.75, roughness: 0.1, second: [70, 110] },
  survey: { spacing: 30, noise: 0.15, offset: 2, bias: 0.05, step: 1 },
};
const JUDGED: readonly (readonly [Scenario, Goals])[] = [
  [EVEN_25, { depth: 0.23, slope: 2.1, slopeMedian: 0.4, aspect: 3.3 }],
  [EVEN_40, { depth: 0.46, slope: 2.75, slopeMedian: 0.58, aspect: 3.9 }],
  [ROUGH_30, { depth: 0.29, slope: 2.0, slopeMedian: 0.95, aspect: 10 }],
];
const PLAIN: Scenario = { name: '25 m passes', survey: { spacing: 25, ...ERRORS } };
const ROUGH: Scenario = {
  name: '30 m, very rough (0.18 m), second feature, 2 m offset, 0.15 m noise',
  bottom: { roughness: 0.18, second: [70, 110] },
  survey: { spacing: 30, noise: 0.15, offset: 2, bias: 0.05 },
};
const FAMILIES = ['a', 'b', 'c'] as const;
const SCENARIOS: readonly Scenario[] = [
  ...FAMILIES.map((family) => ({
    ...EVEN_25,
    name: `${EVEN_25.name}, shapes of family ${family}`,
    bottom: { ...EVEN_25.bottom, family },
  })),
  PLAIN,
  { name: '40 m', survey: { spacing: 40, ...ERRORS } },
  { name: '60 m', survey: { spacing: 60, ...ERRORS } },
  ROUGH,
  { name: '25 m, 0.5 % spikes', survey: { spacing: 25, ...ERRORS, spikes: 0.005 } },
  { name: '40 m, 0.5 % spikes', survey: { spacing: 40, ...ERRORS, spikes: 0.005 } },
  { name: '25 m, positions 2 m ahead', survey: { spacing: 25, ...ERRORS, lag: 2 } },
  { name: '30 m in two directions', survey: { spacing: 30, ...ERRORS, crossed: true } },
  { name: '25 m, soundings 0.6 m apart', survey: { spacing: 25, ...ERRORS, step: 0.6 } },
  { name: '25 m, heights times 0.25', bottom: { relief: 0.25 }, survey: { spacing: 25, ...ERRORS } },
  { name: '40 m, heights times 0.25', bottom: { relief: 0.25 }, survey: { spacing: 40, ...ERRORS } },
];

/**
 * Compares depth, slope, aspect and structure with known bottoms, other methods, real terrain and real
 * soundings.
 *
 * The judged bottoms are about as hard for general methods as the bottoms for which the goals were set. On
 * the latter, triangulation and thin-plate splines had errors of 0.36 and 0.28 m in depth, 2.9 and 2.8
 * (median 0.59) degrees in slope, 5.2 and 4.7 degrees in aspect; on rough bottoms 0.40 and 0.33 m, 2.3
 * (median 1.0) degrees, 9.7 and 9.5 degrees. Compare the rows of other methods. Family `c` has sharp lips and
 * tiers that passes 25 m apart cannot resolve.
 */
export const section: Section = {
  name: 'bottom',
  run(print) {
    for (const [scenario, goals] of JUDGED)
      printScenario(scenario, JUDGED_PER_WORD, JUDGED_SEEDS, print, goals);
    for (const scenario of SCENARIOS) printScenario(scenario, PER_WORD, [SEED], print);
    printSingle(print);
    printLegOff(print);
    for (const [scenario] of JUDGED) printOthers(scenario, JUDGED_PER_WORD, print);
    for (const scenario of [PLAIN, ROUGH]) printOthers(scenario, PER_WORD, print);
    const volcano = { name: 'flooded volcano, 25 m', terrain: floodedVolcano() };
    printTerrain({ ...volcano, survey: { spacing: 25, ...ERRORS } }, SEED, print);
    printGullies(print);
    printRealBottoms(print);
    print(leaveBlocksOut(reference('lake227-soundings.csv')));
  },
};

type Print = (line: string) => void;

/** Prints errors on a real gully, flooded as a lake and as a reservoir, with passes 20 m apart. */
function printGullies(print: Print): void {
  for (const [name, level] of [
    ['gully, all of it flooded, 20 m', WHOLE],
    ['gully as a narrow reservoir, 20 m', 1696],
  ] as const) {
    const terrain = floodedGully(reference('gully-5m.csv'), level);
    const scenario = { name, terrain, survey: { spacing: 20, ...ERRORS }, cell: 5 };
    printTerrain(scenario, SEED, print);
    const quiet = { name: `${name}, soundings without errors`, survey: { spacing: 20, ...NO_ERRORS } };
    printTerrain({ ...scenario, ...quiet }, SEED, print);
    if (level === WHOLE) printHeadings(scenario, print);
  }
}

/** Prints the results of one scenario and its most frequent mistakes. */
function printScenario(
  scenario: Scenario,
  perWord: number,
  seeds: readonly number[],
  print: Print,
  goals?: Goals,
): void {
  const errors = new Errors();
  const bySeed = new Map(seeds.map((seed) => [seed, new Errors()]));
  const mistakes = new Map<string, number>();
  let marks = 0;
  let right = 0;
  let sure = 0;
  let rightOfSure = 0;
  const known = seeds.flatMap((seed) =>
    [...scenarioMarks(scenario, perWord, seed)].map((mark) => ({ ...mark, seed })),
  );
  for (const { word, truth, soundings, seed } of known) {
    const model = modelBottom(soundings, 0, 0);
    const answer = answerOf(model);
    if (answer !== undefined) {
      errors.add(answer, truth);
      bySeed.get(seed)?.add(answer, truth);
    }
    const found = findStructure(model);
    marks++;
    const isRight = found?.word === word;
    if (isRight) right++;
    else
      mistakes.set(`${word} called ${found?.word}`, (mistakes.get(`${word} called ${found?.word}`) ?? 0) + 1);
    if (found === undefined || found.confidence < 0.8) continue;
    sure++;
    if (isRight) rightOfSure++;
  }
  const share = (n: number, of: number): string => ((100 * n) / Math.max(1, of)).toFixed(1);
  print(`${scenario.name}: ${marks} marks`);
  print(`    ${errors.summary()}`);
  if (goals !== undefined) print(`    goals: ${errors.against(goals)}`);
  print(`    ${errors.coverage()}`);
  if (seeds.length > 1)
    for (const [seed, own] of bySeed) print(`    seed ${seed}: ${own.summary()}; ${own.coverage()}`);
  print(
    `    structure word right ${share(right, marks)} %; confidence of 0.8 or more: ${share(sure, marks)} % of marks, right ${share(rightOfSure, sure)} % of these, wrong ${share(sure - rightOfSure, marks)} % of all`,
  );
  const worst = [...mistakes].sort((a, b) => b[1] - a[1]).slice(0, 5);
  if (worst.length > 0) print(`    most frequent: ${worst.map(([what, n]) => `${what} ${n}`).join(', ')}`);
}

/** Prints how many marks with a single pass get a slope or a word; none may. */
function printSingle(print: Print): void {
  let slopes = 0;
  let words = 0;
  let marks = 0;
  for (const wander of [1, 6]) {
    const scenario = { name: 'one pass', survey: { spacing: 25, ...ERRORS, single: true, wander } };
    for (const { soundings } of scenarioMarks(scenario, 5, SEED)) {
      const model = modelBottom(soundings, 0, 0);
      marks++;
      if (model.slope !== undefined) slopes++;
      if (findStructure(model) !== undefined) words++;
    }
  }
  print(`a single pass: ${marks} marks, ${slopes} with a slope, ${words} with a word (none allowed)`);
}

/**
 * Prints errors with a depth offset on the nearest pass or, at every second mark, on the second-nearest, as
 * from another water level or a wrong draft.
 */
function printLegOff(print: Print): void {
  for (const spacing of [15, 25]) {
    for (const off of [0, 0.5, 1]) {
      const errors = new Errors();
      let turn = 0;
      for (const { truth, soundings } of scenarioMarks(
        { name: 'leg off', survey: { spacing, ...ERRORS } },
        PER_WORD,
        SEED,
      )) {
        const leg = passesByDistance(soundings)[turn++ % 2];
        const depth = Array.from(soundings.depth, (d, i) => (soundings.pass[i] === leg ? d + off : d));
        const answer = answerOf(modelBottom({ ...soundings, depth }, 0, 0));
        if (answer !== undefined) errors.add(answer, truth);
      }
      print(`${spacing} m, one of the two nearest passes off by ${off} m in depth: ${errors.count} marks`);
      print(`    ${errors.summary()}; ${errors.coverage()}`);
    }
  }
}

/** Returns the numbers of the passes, nearest to the mark first. */
function passesByDistance({ count, east, north, pass }: LocalSoundings): number[] {
  const near = new Map<number, number>();
  for (let i = 0; i < count; i++) {
    const distance = Math.hypot(east[i], north[i]);
    near.set(pass[i], Math.min(distance, near.get(pass[i]) ?? distance));
  }
  return [...near].sort((a, b) => a[1] - b[1]).map(([number]) => number);
}

function printOthers(scenario: Scenario, perWord: number, print: Print): void {
  print(`other methods, ${scenario.name}`);
  const all: Record<string, Errors> = { 'this project': new Errors() };
  for (const name of Object.keys(OTHER_METHODS)) all[name] = new Errors();
  for (const { truth, soundings } of scenarioMarks(scenario, perWord, SEED)) {
    const answers: [string, Answer | undefined][] = [
      ['this project', answerOf(modelBottom(soundings, 0, 0))],
      ...Object.entries(OTHER_METHODS).map(
        ([name, method]) => [name, method(soundings)] as [string, Answer | undefined],
      ),
    ];
    // Compares only marks for which every method has a result.
    if (answers.some(([, answer]) => answer === undefined)) continue;
    for (const [name, answer] of answers) if (answer !== undefined) all[name].add(answer, truth);
  }
  for (const [name, errors] of Object.entries(all)) {
    print(`    ${name.padEnd(28)} ${errors.count} marks, ${errors.summary()}`);
  }
}
