import { existsSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { expect, test } from 'vitest';
import { accounting } from './faults/accounting.ts';
import { formats } from './faults/formats.ts';
import { model } from './faults/model.ts';
import { safety } from './faults/safety.ts';
import { words } from './faults/words.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const ALL = [...safety, ...accounting, ...model, ...formats, ...words];

test('every fault matches exactly one place in the source, and its test files exist', () => {
  const times = ALL.map(({ name, file, find }) => [
    name,
    readFileSync(join(ROOT, file), 'utf8').split(find).length - 1,
  ]);
  expect(times.filter(([, count]) => count !== 1)).toEqual([]);
  const missing = ALL.flatMap(({ tests }) => tests).filter(
    (name) => !existsSync(join(ROOT, 'tests', `${name}.test.ts`)),
  );
  expect(missing).toEqual([]);
});
