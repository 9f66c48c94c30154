import { STRUCTURE_WORDS } from '../../shared/contract/bottom-model.ts';
import { type ScoringTable, scoreWords } from '../../shared/structure/score.ts';
import type { Dataset } from './dataset.ts';

/** The accuracy of a table on marks whose words are known. */
export interface Judgment {
  readonly marks: number;
  /** Share of marks whose word is right. */
  readonly right: number;
  /** Share of marks whose word or runner-up is right. */
  readonly rightOfTwo: number;
  /** Share of marks with a confidence of at least 0.8. */
  readonly sure: number;
  /** Share of the marks with a confidence of at least 0.8 whose word is right. */
  readonly rightOfSure: number;
  readonly logLoss: number;
  /** Share right, by true word. */
  readonly recall: readonly number[];
  /** Number of marks by true word (row) and given word (column), row-major. */
  readonly confusion: Int32Array;
}

export function judge(table: ScoringTable, data: Dataset): Judgment {
  const n = STRUCTURE_WORDS.length;
  const confusion = new Int32Array(n * n);
  let two = 0;
  let sure = 0;
  let rightOfSure = 0;
  let logLoss = 0;
  data.features.forEach((features, i) => {
    const p = scoreWords(table, features);
    const order = [...p.keys()].sort((a, b) => p[b] - p[a]);
    const truth = data.words[i];
    if (truth === undefined) return;
    confusion[truth * n + order[0]]++;
    if (order[0] === truth || order[1] === truth) two++;
    logLoss -= Math.log(Math.max(p[truth], 1e-12));
    if (p[order[0]] < 0.8) return;
    sure++;
    if (order[0] === truth) rightOfSure++;
  });
  const marks = data.words.length;
  const recall = STRUCTURE_WORDS.map((_, w) => {
    const row = confusion.subarray(w * n, w * n + n);
    return row[w] / row.reduce((a, b) => a + b, 0);
  });
  const right = STRUCTURE_WORDS.reduce((sum, _, w) => sum + confusion[w * n + w], 0) / marks;
  return {
    marks,
    right,
    rightOfTwo: two / marks,
    sure: sure / marks,
    rightOfSure: rightOfSure / Math.max(sure, 1),
    logLoss: logLoss / marks,
    recall,
    confusion,
  };
}

export const describeJudgment = (name: string, j: Judgment): string =>
  `${name}: ${j.marks} marks, right ${j.right.toFixed(3)}, first or second right ${j.rightOfTwo.toFixed(3)}, sure ${j.sure.toFixed(2)}, right of these ${j.rightOfSure.toFixed(3)}, log loss ${j.logLoss.toFixed(3)}`;

/** Lists the most frequent mistakes. */
export function describeMistakes(j: Judgment, count = 8): string {
  const n = STRUCTURE_WORDS.length;
  return [...j.confusion.keys()]
    .filter((k) => Math.floor(k / n) !== k % n && j.confusion[k] > 0)
    .sort((a, b) => j.confusion[b] - j.confusion[a])
    .slice(0, count)
    .map((k) => `${STRUCTURE_WORDS[Math.floor(k / n)]} called ${STRUCTURE_WORDS[k % n]} ${j.confusion[k]}`)
    .join(', ');
}
