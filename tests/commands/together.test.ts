import { expect, test } from 'vitest';
import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';
import { togetherBySentence } from '../../shared/diagnostics/together.ts';

const said = (severity: Diagnostic['severity'], file: string, count?: number): Diagnostic => ({
  severity,
  code: 'soundings/some',
  message: 'As it is.',
  place: { file, line: 1 },
  ...(count === undefined ? {} : { count }),
});
const messages = (diagnostics: readonly Diagnostic[]): string[] =>
  togetherBySentence(diagnostics).map(({ message }) => message);

test('a note about a log, said for each of its parts, is said once and counts no rows', () => {
  expect(messages([said('note', 'a.csv'), said('note', 'a.csv')])).toEqual(['As it is.']);
});

test('rows are counted where they are counted, and where each is warned of', () => {
  expect(messages([said('note', 'a.csv', 3), said('note', 'a.csv', 4)])).toEqual(['As it is. (7 rows)']);
  expect(messages([said('warning', 'a.csv'), said('warning', 'a.csv')])).toEqual(['As it is. (2 rows)']);
});

test('a note of several logs names how many', () => {
  expect(messages([said('note', 'a.csv'), said('note', 'b.csv')])).toEqual(['2 logs: As it is.']);
});
