import { type Diagnostic, Refusal } from '../../shared/contract/diagnostic.ts';
import { memorySource } from '../../src/formats/csv/byte-source.ts';
import { defaultReaderOptions, type ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { readCsvSoundings } from '../../src/formats/csv/sounding-logs.ts';
import { GOOD_LOGS, type GoodLog } from './good-logs.ts';
import { type Choose, createChoose, mutate } from './mutations.ts';

/** Maximum duration of reading a log of a few kilobytes, ms. */
const LONGEST = 2000;

/** The failure of one mutated log. */
export interface Failure {
  readonly log: string;
  readonly mutation: string;
  readonly what: string;
  readonly bytes: Uint8Array;
}

export const section = {
  name: 'soundings',
  standard: 50_000,
  /** Mutates valid logs and prints every reading that crashes, hangs or gives a wrong value. */
  async run(count: number, seed: number, print: (line: string) => void): Promise<number> {
    const { failures, refused, read } = await fuzzSoundings(count, seed);
    for (const { log, mutation, what, bytes } of failures.slice(0, 20)) {
      print(`${log}, ${mutation}: ${what}`);
      print(`  ${JSON.stringify(Buffer.from(bytes).toString('latin1')).slice(0, 3000)}`);
    }
    print(
      `${count} mutated logs: ${read} read, ${refused} refused with a reason, ${failures.length} failures`,
    );
    return failures.length;
  },
};

/** Reads `count` mutations of the valid logs; the same seed gives the same mutations. */
export async function fuzzSoundings(
  count: number,
  seed: number,
): Promise<{ failures: Failure[]; refused: number; read: number }> {
  const choose = createChoose(seed);
  const known = await Promise.all(GOOD_LOGS.map(readGood));
  const failures: Failure[] = [];
  let refused = 0;
  let read = 0;
  for (let i = 0; i < count; i++) {
    const which = i % GOOD_LOGS.length;
    const good = GOOD_LOGS[which];
    const { bytes, name } = mutate(good.bytes, choose);
    const { outcome, what } = await judge(bytes, name, good, known[which], choose);
    if (outcome === 'refused') refused++;
    else read++;
    if (what !== undefined) failures.push({ log: good.name, mutation: name, what, bytes });
  }
  return { failures, refused, read };
}

/** Values of each row of a valid log, by the text of its line. */
type Known = ReadonlyMap<string, readonly number[]>;

async function readGood(good: GoodLog): Promise<Known> {
  const { rows } = await readAll(good.bytes, good.options, 1 << 16);
  const lines = linesOf(good.bytes, good);
  return new Map(rows.map(({ line, values }) => [lines[line - 1], values]));
}

async function judge(
  bytes: Uint8Array,
  mutation: string,
  good: GoodLog,
  known: Known,
  choose: Choose,
): Promise<{ outcome: 'read' | 'refused'; what?: string }> {
  const started = performance.now();
  let result: Awaited<ReturnType<typeof readAll>>;
  try {
    result = await readAll(bytes, good.options, choose(3) === 0 ? 1 + choose(64) : 1 << 16);
  } catch (cause) {
    if (!(cause instanceof Refusal)) return { outcome: 'read', what: `threw ${(cause as Error).stack}` };
    const bare = cause.diagnostics.find(({ code, message }) => !code.includes('/') || message === '');
    return {
      outcome: 'refused',
      what: bare === undefined ? undefined : `refused without a reason: ${bare.code}`,
    };
  }
  const took = performance.now() - started;
  if (took > LONGEST) return { outcome: 'read', what: `took ${took.toFixed(0)} ms` };
  return { outcome: 'read', what: wrongValue(result, bytes, mutation, good, known) };
}

/**
 * Describes the first row with an impossible value or a disagreement with its line; undefined if there is
 * none.
 */
function wrongValue(
  { rows, diagnostics }: Awaited<ReturnType<typeof readAll>>,
  bytes: Uint8Array,
  mutation: string,
  good: GoodLog,
  known: Known,
): string | undefined {
  for (const { values, line } of rows) {
    const [lat, lon, depth] = values;
    const isSane = lat >= -90 && lat <= 90 && lon >= -180 && lon <= 180 && depth > 0 && depth <= 500;
    if (!isSane) return `line ${line}: took ${values.join(', ')}`;
  }
  if (!good.isPlain) return undefined;
  const lines = linesOf(bytes, good);
  // A different header gives every line a different meaning.
  if (
    lines[good.headerLine - 1] !== good.header ||
    diagnostics.some(({ code }) => code === 'soundings/header-changed')
  )
    return undefined;
  for (const { line, values } of rows) {
    const expected = known.get(lines[line - 1]);
    if (expected !== undefined) {
      if (!isSame(values, expected))
        return `line ${line}: took ${values.join(', ')} instead of ${expected.join(', ')}`;
    } else if (mutation === 'truncate') {
      const before = known.get(linesOf(good.bytes, good)[line - 1]);
      if (before === undefined || !isSame(values, before))
        return `line ${line}: took a cut line as ${values.join(', ')}`;
    } else {
      const plain = good.plainly?.(lines[line - 1]);
      if (plain !== undefined && !isSame(values, plain))
        return `line ${line}: took ${values.join(', ')} from ${JSON.stringify(lines[line - 1])}`;
    }
  }
  return undefined;
}

/** Compares positions exactly, depths in single precision, and times to 10 us unless one is missing. */
function isSame(values: readonly number[], expected: readonly number[]): boolean {
  return values.every((value, i) => {
    if (i === 3)
      return Number.isNaN(value) || Number.isNaN(expected[3]) || Math.abs(value - expected[3]) < 1e-5;
    return i === 2 ? Math.fround(value) === Math.fround(expected[i]) : value === expected[i];
  });
}

const linesOf = (bytes: Uint8Array, good: GoodLog): string[] =>
  Buffer.from(bytes)
    .toString(good.encoding ?? 'utf8')
    .replace(/^\uFEFF/, '')
    .split(/\r\n|\n|\r/);

async function readAll(bytes: Uint8Array, options: Partial<ReaderOptions>, chunkBytes: number) {
  const diagnostics: Diagnostic[] = [];
  const source = memorySource('log.csv', bytes, chunkBytes);
  const reading = readCsvSoundings(source, defaultReaderOptions(options), (d) => diagnostics.push(d));
  const rows: { line: number; values: number[] }[] = [];
  let next = await reading.next();
  while (!next.done) {
    const part = next.value;
    for (let i = 0; i < part.count; i++) {
      rows.push({ line: part.line[i], values: [part.lat[i], part.lon[i], part.depth[i], part.time[i]] });
    }
    next = await reading.next();
  }
  return { rows, diagnostics, account: next.value };
}
