import { describe, expect, test } from 'vitest';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import { createTally } from '../../src/formats/csv/tally.ts';

const said: Diagnostic = { severity: 'warning', code: 'soundings/spike', message: 'Dropped.' };

describe('the account of a log', () => {
  test('counts the rows read, used, and dropped for each reason', () => {
    const reported: Diagnostic[] = [];
    const tally = createTally((diagnostic) => reported.push(diagnostic), false);
    tally.read = 10;
    tally.drop(said);
    tally.drop({ ...said, code: 'soundings/no-depth' });
    tally.dropMore('soundings/spike', 3);
    tally.flag({ ...said, code: 'soundings/time-back' });
    expect(tally.account(5)).toEqual({
      read: 10,
      used: 5,
      dropped: { 'soundings/no-depth': 1, 'soundings/spike': 4 },
    });
    tally.flush();
    expect(reported.map(({ code, count }) => [code, count])).toEqual([
      ['soundings/spike', 4],
      ['soundings/no-depth', undefined],
      ['soundings/time-back', undefined],
    ]);
  });

  test.each([4, 6])('stops the run if it does not add up: %i of 5 rows used', (used) => {
    const tally = createTally(() => {}, false);
    tally.read = 5;
    expect(() => tally.account(used)).toThrow('rows unaccounted for');
  });
});
