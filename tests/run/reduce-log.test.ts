import { expect, test } from 'vitest';
import { despike } from '../../plugins/despike.ts';
import { passes } from '../../plugins/passes.ts';
import { positionJumps } from '../../plugins/position-jumps.ts';
import { reduceBlocks } from '../../plugins/reduce-blocks.ts';
import { planPipeline } from '../../shared/engine/plan-pipeline.ts';
import { defaultReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { openLog } from '../../src/run/open-log.ts';
import { type ReducePart, reduceLog, reducerFor } from '../../src/run/reduce-log.ts';
import { makeFolder, write } from '../cli/run-program.ts';
import { goodRows, HEADER } from '../csv/read-text.ts';

const { log: steps } = planPipeline([positionJumps, despike, passes, reduceBlocks]);
const rows = goodRows(400);
const file = write(
  makeFolder(),
  'log.csv',
  `${[HEADER, ...rows.slice(0, 200), '59.502,24.504,45', ...rows.slice(200)].join('\n')}\n`,
);

const reduce = reducerFor({ pipeline: { log: steps } }, file);
const READERS = { steps: [], places: [], open: openLog };

test('every row read is used or dropped, and the weights of the reduced rows add up to the rows used', async () => {
  const { soundings, account } = await reduceLog(file, defaultReaderOptions(), reduce, READERS);
  const dropped = Object.values(account.dropped).reduce((sum, count) => sum + count, 0);
  expect(account.read).toBe(401);
  expect(account.used + dropped).toBe(account.read);
  expect(soundings.weight.reduce((sum, weight) => sum + weight, 0)).toBe(account.used);
  expect(soundings.count).toBeLessThan(account.used);
});

test('a row lost on its way to the plugins stops the run', async () => {
  const loseOne: ReducePart = (part) => {
    const reduced = reduce(part);
    return { ...reduced, received: reduced.received - 1 };
  };
  await expect(reduceLog(file, defaultReaderOptions(), loseOne, READERS)).rejects.toThrow(
    /\d+ rows were read, \d+ reached the log plugins/,
  );
});
