import { expect, test } from 'vitest';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import { mergeByRank, mergeBySentence } from '../../shared/contract/merge-diagnostics.ts';

const said = (severity: Diagnostic['severity'], file: string, count?: number): Diagnostic => ({
  severity,
  code: 'soundings/some',
  message: 'As it is.',
  place: { file, line: 1 },
  ...(count === undefined ? {} : { count }),
});
const messages = (diagnostics: readonly Diagnostic[]): string[] =>
  mergeBySentence(diagnostics).map(({ message }) => message);

test('a note repeated for the parts of a log is reported once, without a number of rows', () => {
  expect(messages([said('note', 'a.csv'), said('note', 'a.csv')])).toEqual(['As it is.']);
});

test('rows are counted from the totals of messages, or as one for each warning', () => {
  expect(messages([said('note', 'a.csv', 3), said('note', 'a.csv', 4)])).toEqual(['As it is. (7 rows)']);
  expect(messages([said('warning', 'a.csv'), said('warning', 'a.csv')])).toEqual(['As it is. (2 rows)']);
});

test('a note about several logs gives their number', () => {
  expect(messages([said('note', 'a.csv'), said('note', 'b.csv')])).toEqual(['2 logs: As it is.']);
});

test('an extreme value is reported for the worst part of a log, with the rows of all parts', () => {
  const [one, other] = [said('warning', 'a.csv', 3), said('note', 'a.csv')];
  const parts = [
    { ...one, code: 'soundings/frozen-depth', message: 'Over 60 m.', rank: -60 },
    other,
    { ...other, code: 'soundings/shallowest', message: '1.20 m', rank: 1.2 },
    { ...one, code: 'soundings/frozen-depth', message: 'Over 80 m.', rank: -80 },
    { ...other, code: 'soundings/shallowest', message: '1.40 m', rank: 1.4 },
    other,
  ];
  const together = mergeByRank(parts);
  expect(together.map(({ message, count }) => [message, count])).toEqual([
    ['Over 80 m.', 6],
    ['As it is.', undefined],
    ['1.20 m', undefined],
    ['As it is.', undefined],
  ]);
});
