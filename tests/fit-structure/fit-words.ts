import { STRUCTURE_WORDS } from '../../shared/contract/bottom-model.ts';
import { FEATURE_NAMES } from '../../shared/structure/features/features.ts';
import { type ScoringTable, scoreWords } from '../../shared/structure/score.ts';
import { type Dataset, makeJudged, makeMarks, makeMixed, type Recipe } from './dataset.ts';
import { describeJudgment, describeMistakes, judge } from './judge.ts';
import { fitTable } from './logistic.ts';

const RIDGES = [2e-4, 8e-4];
/** Candidate temperatures; not below 1.2, because real bottoms are harder than any family of shapes. */
const TEMPERATURES = [1.2, 1.3, 1.4];
/**
 * Weight of agreement between two surveys. At 0.5, more words on mixed ground agree and fewer marks are
 * right.
 */
const CONSISTENCY = 0.2;
/**
 * Number of marks of each word in each part of a family's data: on the true bottom, which costs little, and
 * as two surveys show them.
 */
const PARTS: readonly (readonly [known: number, surveyed: number])[] = [
  ...Array(6).fill([15, 2]),
  ...Array(3).fill([60, 0]),
];
/** Number of mixed grounds in each part of their data. */
const GROUNDS = 3;
const MIXED_PARTS = 24;

/** Makes one part of the data, by name. */
export const FIT_DATA = {
  a: (part: number) => makeMarks('a', ...PARTS[part], 1100 + part),
  b: (part: number) => makeMarks('b', ...PARTS[part], 1200 + part),
  wide: (part: number) => makeMarks('wide', ...PARTS[part], 1300 + part),
  mixed: (part: number) => makeMixed(GROUNDS, 770_000 + GROUNDS * part),
};

/** Returns one part of the data by name. */
type FitData = (name: keyof typeof FIT_DATA, part: number) => Dataset;

/**
 * Fits the scoring table and returns the file that holds it.
 *
 * Shapes of the families `a` and `wide` are used for fitting, `b` for choosing ridge and temperature; the
 * final table is fitted to all three and judged on family `c`. Mixed ground, where words are unknown, and
 * marks surveyed twice make the table agree between dense and sparse passes.
 */
export function fitWords(data: FitData = (name, part) => FIT_DATA[name](part)): string {
  const whole = (name: keyof typeof FIT_DATA): Dataset =>
    join(
      ...Array.from({ length: name === 'mixed' ? MIXED_PARTS : PARTS.length }, (_, part) => data(name, part)),
    );
  const known = join(whole('a'), whole('wide'));
  const mixed = whole('mixed');
  const b = whole('b');
  const ridge = chooseRidge(known, b);
  const temperature = chooseTemperature(fitConsistent(known, mixed, ridge), b);
  const final = cool(fitConsistent(join(known, b), mixed, ridge), temperature);
  const figures = testSets().map(([name, recipe], i) => {
    const found = judge(final, makeJudged('c', recipe, 20, 900 + i));
    console.log(describeJudgment(name, found));
    console.log(`    ${describeMistakes(found)}`);
    return describeJudgment(name, found);
  });
  return formatFile(final, ridge, temperature, figures);
}

/**
 * Fits a table that agrees between surveys and gives each word on mixed ground as often as a table of `known`
 * alone.
 */
export function fitConsistent(known: Dataset, mixed: Dataset, ridge: number): ScoringTable {
  const plain = fitTable(known, { ridge, consistency: 0 });
  const shares = mixed.features
    .map((features) => scoreWords(plain, features))
    .reduce(
      (sum, p) => sum.map((total, w) => total + p[w] / mixed.features.length),
      new Float64Array(STRUCTURE_WORDS.length),
    );
  return fitTable(join(known, mixed), { ridge, consistency: CONSISTENCY, shares });
}

function chooseRidge(known: Dataset, unseen: Dataset): number {
  const losses = RIDGES.map((ridge) => {
    const found = judge(fitTable(known, { ridge, consistency: 0 }), unseen);
    console.log(describeJudgment(`ridge ${ridge}`, found));
    return found.logLoss;
  });
  return RIDGES[losses.indexOf(Math.min(...losses))];
}

/**
 * Chooses the divisor of the scores, because a table is overconfident on shapes to which it was not fitted.
 *
 * @returns The lowest temperature at which at least 98 % of the words with a confidence of 0.8 or more are
 * right on unseen shapes; otherwise the highest.
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

const join = (...sets: readonly Dataset[]): Dataset =>
  sets.reduce((all, { features, words, pairs }) => ({
    features: [...all.features, ...features],
    words: [...all.words, ...words],
    pairs: [
      ...all.pairs,
      ...pairs.map(([a, b]): [number, number] => [a + all.words.length, b + all.words.length]),
    ],
  }));

function formatFile(
  table: ScoringTable,
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
 * Made by \`npm run fit-structure\`; do not edit.
 * Penalties of the fit: ridge ${ridge}, consistency ${CONSISTENCY}. Temperature that scores are divided by: ${temperature}.
 * Results on made lakes of family c, to which the table was not fitted: shares of marks, and mean log loss.
 * A mark is sure if the confidence is 0.8 or more.
 *
${figures.map((line) => ` * ${line}`).join('\n')}
 */
export const STRUCTURE_TABLE = \`
${lines.join('\n')}
\`;
`;
}
