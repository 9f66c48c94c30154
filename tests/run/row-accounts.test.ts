import { describe, expect, test } from 'vitest';
import { defineLogPlugin, defineSurveyPlugin } from '../../shared/contract/plugin.ts';
import type { SoundingLog } from '../../shared/contract/soundings.ts';
import { joinLogs, joinSoundings, withoutRows } from '../../shared/engine/join-logs.ts';
import { runLogSteps, runSurveySteps, takeRows } from '../../shared/engine/run-logs.ts';
import { makeLog } from '../survey/make-log.ts';

const logOf = (count: number): SoundingLog =>
  makeLog(Array.from({ length: count }, (_, row) => [0, row, 5 + row] as const));
const noTalk = () => {};

/** Returns a survey of three logs with 2, 3 and 4 rows; the rows of each have the weights 1, 2 and so on. */
function builtSurvey() {
  const logs = [2, 3, 4].map((count) => {
    const weight = Float32Array.from({ length: count }, (_, row) => row + 1);
    const used = weight.reduce((sum, own) => sum + own, 0);
    const account = { read: used + 7, used, dropped: { 'soundings/spike': 7 } };
    return { file: `${count}.csv`, account, soundings: { ...logOf(count), weight } };
  });
  return joinLogs(logs);
}

describe('rows of logs', () => {
  test('dropped by a plugin for two reasons are removed once and counted for the first', () => {
    const plugin = defineLogPlugin({
      name: 'take',
      summary: '',
      stage: 'log',
      options: {},
      run: () => ({
        dropped: [
          { reason: 'first', rows: [1, 3] },
          { reason: 'second', rows: [3, 4] },
        ],
      }),
    });
    const { soundings, dropped } = runLogSteps(logOf(6), [{ plugin, options: {} } as never], noTalk);
    expect(Array.from(soundings.depth)).toEqual([5, 7, 10]);
    expect(dropped).toEqual({ first: 2, second: 1 });
  });

  test('that are dropped no longer count as used', () => {
    const account = { read: 12, used: 10, dropped: { spike: 2 } };
    expect(takeRows(account, { spike: 3, frozen: 1 })).toEqual({
      read: 12,
      used: 6,
      dropped: { spike: 5, frozen: 1 },
    });
  });

  test('dropped from a survey are counted in the account of their own log, with the soundings they represent', () => {
    const plugin = defineSurveyPlugin({
      name: 'take',
      summary: '',
      stage: 'survey',
      options: {},
      // The last row of the second log, and the first two of the third.
      run: () => ({ dropped: [{ reason: 'twice', rows: [4, 5, 6] }] }),
    });
    const { logs, count, log } = runSurveySteps(
      builtSurvey(),
      [],
      [{ plugin, options: {} } as never],
      noTalk,
    );
    expect(count).toBe(6);
    expect(Array.from(log)).toEqual([0, 0, 1, 1, 2, 2]);
    expect(logs.map(({ account }) => account)).toEqual([
      { read: 10, used: 3, dropped: { 'soundings/spike': 7 } },
      { read: 13, used: 3, dropped: { 'soundings/spike': 7, twice: 3 } },
      { read: 17, used: 7, dropped: { 'soundings/spike': 7, twice: 3 } },
    ]);
  });

  test('keep their log and get unique passes when logs are joined', () => {
    const survey = builtSurvey();
    expect(Array.from(survey.log)).toEqual([0, 0, 1, 1, 1, 2, 2, 2, 2]);
    expect(Array.from(survey.pass)).toEqual([0, 0, 1, 1, 1, 2, 2, 2, 2]);
    const twoPasses = { ...logOf(2), pass: Int32Array.of(0, 1) };
    expect(Array.from(joinSoundings([twoPasses, twoPasses]).pass)).toEqual([0, 1, 2, 3]);
  });

  test('that remain keep their order and values', () => {
    const marked = Uint8Array.of(1, 0, 0, 1, 1, 0);
    const { count, depth, line } = withoutRows(logOf(6), marked);
    expect(count).toBe(3);
    expect(Array.from(depth)).toEqual([6, 7, 10]);
    expect(Array.from(line)).toEqual([3, 4, 7]);
  });
});
