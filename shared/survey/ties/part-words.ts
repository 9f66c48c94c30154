import type { Survey } from '../../contract/index.ts';
import { dayWord } from './names.ts';
import type { Untied } from './parts.ts';

/**
 * Names for two parts that are not tied together: `a.csv and b.csv`, `Friday and Saturday`, or `two parts of
 * a.csv`.
 */
export function partWords(survey: Survey, { logs, days, isApart }: Untied): string {
  const filesOf = (part: readonly number[]): string => part.map((log) => survey.logs[log].file).join(', ');
  const [first, second] = [filesOf(logs[0]), filesOf(logs[1])];
  if (days[0] !== undefined && days[1] !== undefined && days[0] !== days[1])
    return `${dayWord(survey, days[0])} and ${dayWord(survey, days[1])}`;
  if (first !== second && logs[0].length + logs[1].length <= 4) return `${first} and ${second}`;
  return `${isApart ? 'two parts' : 'the passes'} of ${logs[0].length <= 2 ? first : 'this survey'}`;
}
