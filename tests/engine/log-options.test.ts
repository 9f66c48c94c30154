import { expect, test } from 'vitest';
import { optionsForInput, optionsInLog } from '../../shared/engine/log-options.ts';

const set = (pattern: string, owner: string, own: Record<string, unknown>) => ({
  pattern,
  values: new Map([[owner, own]]),
});

test.each([
  ['a.csv', 'logs/a.csv', true],
  ['A.CSV', 'logs/a.csv', true],
  ['logs/a.csv', 'logs/a.csv', true],
  ['*.csv', 'logs/a.csv', true],
  ['*.csv', 'logs/day.zip/a.csv', true],
  ['day.zip/*', 'logs/day.zip/a.csv', true],
  ['day.zip/a.csv', 'logs/day.zip/b/a.csv', false],
  ['day*', 'logs/day.zip/a.csv', false],
  ['?.csv', 'logs/ab.csv', false],
  ['a.csv', 'logs/ba.csv', false],
  ['a+(1).csv', 'logs/a+(1).csv', true],
  ['b/a.csv', 'C:\\logs\\b/a.csv', true],
])('options for %s hold for %s: %s', (pattern, name, holds) => {
  expect(optionsForInput([set(pattern, 'reader', { tz: 'UTC' })], name) !== undefined).toBe(holds);
});

test('a later set takes precedence over an earlier one, and one for a file inside a log over one for the log', () => {
  const sets = [
    set('b.csv', 'reader', { tz: 'Z', crs: 'inner' }),
    set('day.zip', 'reader', { tz: 'UTC', datum: 'outer' }),
    set('day.zip', 'draft-offset', { draft: 1 }),
    set('*.zip', 'reader', { tz: '+01:00' }),
  ];
  const own = optionsInLog(sets, 'logs/day.zip', 'logs/day.zip/a.zip/b.csv');
  expect(Object.fromEntries(own!)).toEqual({
    reader: { tz: 'Z', crs: 'inner', datum: 'outer' },
    'draft-offset': { draft: 1 },
  });
  expect(optionsInLog(sets, 'logs/c.csv', 'logs/c.csv')).toBeUndefined();
});
