import { writeFileSync } from 'node:fs';
import { STRUCTURE_WORDS } from '../../shared/contract/bottom-model.ts';
import { FEATURE_NAMES } from '../../shared/structure/features/features.ts';
import type { ScoringTable } from '../../shared/structure/score.ts';
import { calibrate } from './calibrate.ts';
import { type Dataset, makeDataset, type Recipe, trainingRecipe } from './dataset.ts';
import { describeJudgment, describeMistakes, judge } from './judge.ts';
import { fitTable } from './logistic.ts';

/**
 * Fits the scoring table of structure words and writes it to `shared/structure/structure-table.ts`.
 *
 * Shapes of family `a` are used for fitting, `b` for choosing the ridge, and `c` for the recorded figures; the table
 * that is written is then fitted to all three. Run as `npm run fit-structure [marks of each word per family]`; `npm
 * run fit-structure calibration` prints the numbers of `shared/bottom/calibration.ts` instead.
 */
const TABLE_FILE = 'shared/structure/structure-table.ts';
const RIDGES = [1e-4, 2e-4, 4e-4, 8e-4];
const TEMPERATURES = [1, 1.1, 1.2, 1.3, 1.4];
const SURVEYS = 2;

function main(): void {
  const perWord = Number(process.argv[2] ?? 260);
  const a = makeDataset(['a'], trainingRecipe, perWord, SURVEYS, 11);
  const b = makeDataset(['b'], trainingRecipe, perWord, SURVEYS, 12);
  const c = makeDataset(['c'], trainingRecipe, perWord, SURVEYS, 13);
  const ridge = chooseRidge(a, b);
  const temperature = chooseTemperature(fitTable(a, ridge), b);
  const table = cool(fitTable(join(a, b), ridge), temperature);
  const figures = testSets().map(([name, recipe], i) => {
    const found = judge(table, makeDataset(['c'], recipe, 40, 1, 900 + i));
    console.log(describeJudgment(name, found));
    console.log(`    ${describeMistakes(found)}`);
    return describeJudgment(name, found);
  });
  const final = cool(fitTable(join(a, b, c), ridge), temperature);
  writeFileSync(TABLE_FILE, formatFile(final, perWord, ridge, temperature, figures));
  console.log(`wrote ${TABLE_FILE}`);
}

function chooseRidge(a: Dataset, b: Dataset): number {
  const losses = RIDGES.map((ridge) => {
    const found = judge(fitTable(a, ridge), b);
    console.log(describeJudgment(`fitted on a, seen on b, ridge ${ridge}`, found));
    return found.logLoss;
  });
  return RIDGES[losses.indexOf(Math.min(...losses))];
}

/**
 * The divisor of the scores, needed because a table is overconfident on shapes it was not fitted to.
 *
 * The lowest temperature at which at least 98 % of the marks named with 0.8 or more are right on unseen shapes.
 */
function chooseTemperature(table: ScoringTable, unseen: Dataset): number {
  for (const temperature of TEMPERATURES) {
    const found = judge(cool(table, temperature), unseen);
    console.log(describeJudgment(`temperature ${temperature}`, found));
    if (found.rightOfSure >= 0.98) return temperature;
  }
  return TEMPERATURES[TEMPERATURES.length - 1];
}

const cool = (table: ScoringTable, temperature: number): ScoringTable => ({
  ...table,
  weights: table.weights.map((w) => w / temperature),
  intercepts: table.intercepts.map((b) => b / temperature),
});

function testSets(): [string, Recipe][] {
  const plain = { spacing: 25, noise: 0.1, offset: 1, bias: 0.05 };
  return [
    ['25 m', () => ({ bottom: { relief: 1 }, survey: plain })],
    ['40 m', () => ({ bottom: { relief: 1 }, survey: { ...plain, spacing: 40 } })],
    ['60 m', () => ({ bottom: { relief: 1 }, survey: { ...plain, spacing: 60 } })],
    [
      '30 m, rough, second feature',
      () => ({
        bottom: { relief: 1, roughness: 0.18, second: [70, 110] },
        survey: { ...plain, spacing: 30, noise: 0.15, offset: 2 },
      }),
    ],
    ['25 m, heights a quarter', () => ({ bottom: { relief: 0.25 }, survey: plain })],
  ];
}

const join = (...sets: readonly Dataset[]): Dataset => ({
  features: sets.flatMap((set) => set.features),
  words: sets.flatMap((set) => set.words),
});

function formatFile(
  table: ScoringTable,
  perWord: number,
  ridge: number,
  temperature: number,
  figures: readonly string[],
): string {
  const number = (v: number): string => String(Number(v.toPrecision(5)));
  const n = STRUCTURE_WORDS.length;
  const lines = FEATURE_NAMES.map((name, i) =>
    [name, table.mean[i], table.sd[i], ...table.weights.subarray(i * n, i * n + n)]
      .map((v) => (typeof v === 'number' ? number(v) : v))
      .join(' '),
  );
  lines.push(
    ['intercept', 0, 1, ...table.intercepts].map((v) => (typeof v === 'number' ? number(v) : v)).join(' '),
  );
  return `/**
 * Scoring table of structure words: feature, mean, standard deviation, and a weight for each of
 * ${STRUCTURE_WORDS.slice(0, 6).join(', ')},
 * ${STRUCTURE_WORDS.slice(6).join(', ')}.
 *
 * Made by \`npm run fit-structure ${perWord}\`; do not edit. ${perWord} marks of each word in each family of shapes, ${SURVEYS} surveys
 * each, ridge ${ridge}, temperature ${temperature}. Fitted on families a and b, marks of family c, which it has not seen, came out as:
 *
${figures.map((line) => ` * ${line}`).join('\n')}
 *
 * The table below is fitted to all three families.
 */
export const STRUCTURE_TABLE = \`
${lines.join('\n')}
\`;
`;
}

if (process.argv[2] === 'calibration') calibrate(Number(process.argv[3] ?? 200));
else main();
