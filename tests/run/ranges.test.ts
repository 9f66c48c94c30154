import { describe, expect, test } from 'vitest';
import { despike } from '../../plugins/despike.ts';
import { draftOffset } from '../../plugins/draft-offset.ts';
import { passes } from '../../plugins/passes.ts';
import { positionJumps } from '../../plugins/position-jumps.ts';
import { reduceBlocks } from '../../plugins/reduce-blocks.ts';
import { soundSpeedPlugin } from '../../plugins/sound-speed.ts';
import { type Diagnostic, Refusal } from '../../shared/contract/diagnostic.ts';
import type { Soundings } from '../../shared/contract/soundings.ts';
import { memorySource } from '../../src/formats/csv/byte-source.ts';
import { readCsvSoundings } from '../../src/formats/csv/csv-soundings.ts';
import { memoryRanges } from '../../src/formats/csv/range-source.ts';
import { defaultReaderOptions, type ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { splitLog } from '../../src/formats/csv/split-log.ts';
import { type Pipeline, planPipeline } from '../../src/run/plan-pipeline.ts';
import { joinReduced, type ReducedRange, rangeJob, reduceRanges } from '../../src/run/reduce-ranges.ts';
import { reducePart, takeRows } from '../../src/run/run-logs.ts';
import { goodRows, HEADER } from '../csv/read-text.ts';
import { GOOD_LOGS } from '../fuzz/good-logs.ts';
import { createChoose, mutate } from '../fuzz/mutations.ts';

type Steps = Pipeline['log'];
const PLUGINS = [positionJumps, draftOffset, soundSpeedPlugin, despike, passes, reduceBlocks];
const { log: ALL } = planPipeline(PLUGINS);
const { log: UNREDUCED } = planPipeline(PLUGINS, new Map([['reduce-blocks', { on: false }]]));
const SIZES = { range: 1024, chunk: 256 };

/** A log after reading and the log plugins, in a form to compare. */
type Outcome =
  | { account: unknown; parts: Soundings[]; said: Diagnostic[] }
  | { refused: readonly Diagnostic[] };

async function whole(bytes: Uint8Array, options: ReaderOptions, steps: Steps): Promise<Outcome> {
  const said: Diagnostic[] = [];
  const parts = [];
  const source = memorySource('log.csv', bytes, SIZES.chunk);
  const reading = readCsvSoundings(source, options, (d) => said.push(d), SIZES.range);
  try {
    let next = await reading.next();
    for (; !next.done; next = await reading.next()) parts.push(reducePart(next.value, steps));
    const account = parts.reduce((sum, { dropped }) => takeRows(sum, dropped), next.value);
    said.push(...parts.flatMap(({ diagnostics }) => diagnostics));
    return { account, parts: parts.map(({ soundings }) => soundings), said };
  } catch (cause) {
    if (cause instanceof Refusal) return { refused: cause.diagnostics };
    throw cause;
  }
}

/** The same by ranges, with as many threads' worth of turns; undefined where the log has to be read whole. */
async function byRanges(
  bytes: Uint8Array,
  options: ReaderOptions,
  steps: Steps,
  turns: number,
): Promise<Outcome | undefined> {
  const said: Diagnostic[] = [];
  const split = await splitLog(memorySource('log.csv', bytes), options, (d) => said.push(d), SIZES);
  if (split === undefined) return undefined;
  const job = rangeJob(split.log);
  const ranges: ReducedRange[] = [];
  const take = (range: ReducedRange): void => {
    ranges[range.index] = structuredClone(range);
  };
  const one = (): Promise<void> => reduceRanges(job, steps, take, undefined, memoryRanges(bytes));
  await Promise.all(Array.from({ length: turns }, one));
  try {
    const joined = joinReduced(split, ranges);
    if (joined === undefined) return undefined;
    const account = joined.parts.reduce((sum, { dropped }) => takeRows(sum, dropped), joined.account);
    said.push(...joined.parts.flatMap(({ diagnostics }) => diagnostics));
    return { account, parts: joined.parts.map(({ soundings }) => soundings), said };
  } catch (cause) {
    if (cause instanceof Refusal) return { refused: cause.diagnostics };
    throw cause;
  }
}

const rows = goodRows(400);
const textOf = (lines: readonly string[], end = '\n'): Uint8Array =>
  Buffer.from(lines.join(end) + end, 'latin1');
const withLines = (place: number, ...lines: string[]): Uint8Array =>
  textOf([HEADER, ...rows.slice(0, place), ...lines, ...rows.slice(place)]);

describe('a log read by ranges', () => {
  test.each<[string, Uint8Array, Partial<ReaderOptions>]>([
    ['plain rows', textOf([HEADER, ...rows]), {}],
    ['CR LF', textOf([HEADER, ...rows], '\r\n'), {}],
    ['CR', textOf([HEADER, ...rows], '\r'), {}],
    ['a last line that is cut', textOf([HEADER, ...rows]).subarray(0, -4), {}],
    [
      'rows without a depth',
      textOf([HEADER, ...rows.map((row, i) => (i % 7 === 3 ? row.replace(/,[^,]*$/, ',') : row))]),
      {},
    ],
    [
      'spikes',
      textOf([HEADER, ...rows.map((row, i) => (i % 37 === 3 ? row.replace(/,[^,]*$/, ',45.5') : row))]),
      {},
    ],
    ['a stray fix', withLines(201, '59.612,24.704,4.5'), {}],
    ['letters of another encoding', withLines(55, '59.501,24.502,d\u00e9p', '59.501,24.502,\u00e9'), {}],
    ['comments, blank lines, the header again', withLines(150, '', '# x', HEADER, ''), {}],
    ['quoted fields', textOf([HEADER, ...rows.map((row) => `"${row.replaceAll(',', '","')}"`)]), {}],
    [
      'times',
      textOf([
        'time,lat,lon,depth_m',
        ...rows.map((row, i) => `2024-05-01T10:${String(i % 60).padStart(2, '0')}:00.2,${row}`),
      ]),
      { tz: '-05:00' },
    ],
  ])('gives what reading it whole gives: %s', async (_, bytes, changes) => {
    const options = defaultReaderOptions({ maxDropped: 1, ...changes });
    for (const steps of [ALL, UNREDUCED]) {
      const expected = await whole(bytes, options, steps);
      expect('parts' in expected && expected.parts.length).toBeGreaterThan(3);
      for (const turns of [1, 3]) expect(await byRanges(bytes, options, steps, turns)).toEqual(expected);
    }
  });

  test.each<[string, Uint8Array]>([
    [
      'a quoted field that runs over lines at the end of a range',
      textOf(['lat,lon,depth_m,note', ...rows.map((row) => `${row},"a\nb"`)]),
    ],
    ['another header in the middle', withLines(200, 'depth_ft,lat,lon')],
    ['erased bytes over the end of a range', withLines(30, '\0'.repeat(1500))],
    ['a line longer than a range', withLines(30, `#${'x'.repeat(3000)}`)],
    [
      'newest first',
      textOf(['time,lat,lon,depth_m', ...rows.map((row, i) => `${1_703_315_200 - i},${row}`)]),
    ],
    [
      'rows sorted by something else than time',
      textOf(['time,lat,lon,depth_m', ...rows.map((row, i) => `${1_703_315_200 + ((i * 37) % 401)},${row}`)]),
    ],
    [
      'a clock that jumps by 1024 weeks',
      textOf([
        'time,lat,lon,depth_m',
        ...rows.map((row, i) => `${i < 200 ? 1_084_000_000 + i : 1_703_315_200 + i},${row}`),
      ]),
    ],
  ])('is read whole, or the same, where a range cannot stand alone: %s', async (_, bytes) => {
    const options = defaultReaderOptions({ maxDropped: 1 });
    const expected = await whole(bytes, options, ALL);
    const found = await byRanges(bytes, options, ALL, 2);
    if (found !== undefined) expect(found).toEqual(expected);
  });

  test('gives what reading it whole gives for damaged logs as well', { timeout: 120_000 }, async () => {
    const choose = createChoose(20_260_911);
    let same = 0;
    for (let i = 0; i < 1500; i++) {
      const good = GOOD_LOGS[i % GOOD_LOGS.length];
      // Some lines after one another many times, so that damage falls on ends of ranges too.
      const { bytes } = mutate(longer(good.bytes, good.headerLine, 3 + choose(4)), choose);
      const options = defaultReaderOptions({ ...good.options, maxDropped: choose(2) === 0 ? 1 : 0.2 });
      const found = await byRanges(bytes, options, ALL, 1 + choose(2));
      if (found === undefined) continue;
      same++;
      expect(found, `${good.name}, number ${i}`).toEqual(await whole(bytes, options, ALL));
    }
    expect(same).toBeGreaterThan(300);
  });
});

/** A log with its rows several times. */
function longer(bytes: Uint8Array, headerLine: number, times: number): Buffer {
  const text = Buffer.from(bytes).toString('latin1');
  const lines = text.split(/(?<=\n)/);
  const body = lines.slice(headerLine).join('');
  return Buffer.from(lines.slice(0, headerLine).join('') + body.repeat(times), 'latin1');
}
