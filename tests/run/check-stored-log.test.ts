import { expect, test } from 'vitest';
import type { LogEntry } from '../../shared/engine/index.ts';
import { checkStoredLog } from '../../src/run/store/check-stored-log.ts';
import { makeLog } from '../survey/make-log.ts';

const {
  file: _file,
  part: _part,
  line: _line,
  ...soundings
} = makeLog([
  [0, 0, 5, 1.7e9],
  [0, 1, 6, 1.7e9 + 1],
]);
const good: LogEntry = {
  soundings,
  account: { read: 6, used: 4, dropped: { 'soundings/spike': 2 } },
  diagnostics: [],
};

test('a stored log whose counts add up is accepted', () => {
  expect(() => checkStoredLog(good)).not.toThrow();
});

test.each([
  ['a row that is neither used nor dropped', { account: { ...good.account, read: 7 } }],
  ['a row too many', { account: { ...good.account, read: 5 } }],
  ['half a row', { account: { ...good.account, read: 6.5, used: 4.5 } }],
  ['more soundings than rows', { account: { read: 1, used: 1, dropped: {} } }],
  ['a latitude beyond the pole', { soundings: { ...soundings, lat: Float64Array.of(91, 45) } }],
  ['a depth beyond that of any water', { soundings: { ...soundings, depth: Float32Array.of(5, 13_000) } }],
  ['a weight of 0', { soundings: { ...soundings, weight: Float32Array.of(1, 0) } }],
  ['a column cut short', { soundings: { ...soundings, time: Float64Array.of(1.7e9) } }],
])('a stored log with %s is refused', (_, change) => {
  expect(() => checkStoredLog({ ...good, ...change })).toThrow();
});
