import {
  type Diagnostic,
  type InnerFile,
  type ReaderInput,
  type ReaderPlugin,
  type Reading,
  type ReadSoundings,
  Refusal,
  type Report,
  type RowAccount,
  type SoundingLog,
} from '../../../shared/contract/index.ts';
import { type Enter, failureOf, guarded, type Step, valueKind } from '../../../shared/engine/index.ts';
import {
  plural,
  readerMessages as says,
  pluginMessages as saysOfPlugin,
} from '../../../shared/text/index.ts';
import {
  type ByteSource,
  closedAccount,
  createTally,
  flagNothing,
  headOf,
  memorySource,
  type ReaderOptions,
  readCsvSoundings,
  readSource,
  sniffBytes,
  type Tally,
} from '../../formats/csv/index.ts';
import { type DepthReading, depthReading, pointsToLog } from './points-to-log.ts';
import { readerContext, type WaypointPlaces } from './reader-context.ts';

/** Maximum number of files, such as archives, that the input of a reader may be nested in; judgment. */
export const DEEPEST = 3;
/** Number of bytes at the start of a file that `sniff` gets. */
export const HEAD_BYTES = 64 * 1024;

/** Readers of a run, with waypoints and functions for reading logs. */
export interface LogReaders {
  /** Reader steps in the order in which they are tried. */
  readonly steps: readonly Step<ReaderPlugin>[];
  readonly places: WaypointPlaces;
  readonly enter?: Enter;
  /** Returns the options of a file inside a log, which override the options of the log. */
  readonly optionsOf?: (input: string) => Partial<ReaderOptions> | undefined;
  readonly open: OpenLog;
}

/**
 * Opens a log by its name: a file, or data that a calling program supplied under that name.
 *
 * @throws Refusal when the log cannot be opened.
 */
export type OpenLog = (file: string) => Promise<OpenedLog>;

export interface OpenedLog {
  /** Bytes, or soundings that a calling program supplied as columns. */
  readonly content: ByteSource | ReadSoundings;
  readonly sibling: ReaderInput['sibling'];
  /** Returns false once a reader has looked for a file next to the log. */
  isAlone(): boolean;
}

export interface LogEnd {
  readonly account: RowAccount;
  /** False when a reader looked for files next to the log. */
  readonly isAlone: boolean;
}

interface Job {
  readonly options: ReaderOptions;
  readonly readers: Omit<LogReaders, 'open'>;
  readonly report: Report;
  readonly sibling: ReaderInput['sibling'];
  /** Number of files, such as archives, that the input is nested in; 0 when absent. */
  readonly depth?: number;
}

/** Returns whether a reader accepts an input. Errors of the reader are thrown under the reader's name. */
export function accepts(reader: ReaderPlugin, head: Uint8Array, file: string): boolean {
  try {
    return reader.sniff(head, file);
  } catch (cause) {
    throw failureOf(reader.name, cause);
  }
}

/**
 * Finds the first reader that accepts an input; undefined when no reader does.
 *
 * @throws Refusal for binary data of an unknown kind.
 */
export async function readerOf(
  source: ByteSource,
  { steps }: Pick<LogReaders, 'steps'>,
): Promise<Step<ReaderPlugin> | undefined> {
  const { bytes } = await headOf(source.chunks(), HEAD_BYTES);
  const taken = steps.find(({ plugin }) => accepts(plugin, bytes, source.name));
  const isKnown = taken !== undefined || sniffBytes(bytes).foreign !== undefined;
  if (!isKnown && isBinary(bytes)) throw new Refusal([says.foreign({ file: source.name })]);
  return taken;
}

/**
 * Yields the parts of a sounding log of any known kind, and returns its row account and `isAlone`.
 *
 * @throws Refusal when the log cannot be opened or read, or when a reader fails.
 */
export async function* readLog(
  file: string,
  options: ReaderOptions,
  readers: LogReaders,
  report: Report,
): AsyncGenerator<SoundingLog, LogEnd> {
  const { content, sibling, isAlone } = await readers.open(file);
  const job = { options, readers, report, sibling };
  const parts = 'chunks' in content ? readSoundingsFrom(content, job) : readColumns(file, content, job);
  let next = await parts.next();
  for (let part = 0; !next.done; part++) {
    yield { ...next.value, part };
    next = await parts.next();
  }
  return { account: next.value, isAlone: isAlone() };
}

/**
 * Returns a function that reads the file next to `file` that has the same name but another extension, written
 * as given or in upper case.
 */
export const siblingsOf = (
  file: string,
  read: (path: string) => Promise<Uint8Array | undefined>,
): ReaderInput['sibling'] => {
  const stem = file.replace(/(?<=[^/\\])\.[^./\\]*$/, '');
  return async (extension) => (await read(stem + extension)) ?? read(stem + extension.toUpperCase());
};

/** Yields soundings supplied as columns by a calling program, checked like the soundings of a file. */
async function* readColumns(
  file: string,
  points: ReadSoundings,
  { options, report }: Job,
): AsyncGenerator<SoundingLog, RowAccount> {
  const tally = createTally(report, options.explain);
  checkColumns('value of-columns', file, points);
  const part = pointsToLog(points, depthReading(points, options, { file }, tally), file, options, tally);
  if (part.count > 0) yield part;
  return endOfReader(file, part.count, options, tally, true);
}

/** Returns the row account of a reader's soundings. @throws Refusal when too many rows were dropped. */
function endOfReader(
  file: string,
  used: number,
  options: ReaderOptions,
  tally: Tally,
  hasSoundings: boolean,
): RowAccount {
  if (hasSoundings && used === 0) flagNothing({ file }, tally);
  return closedAccount({ file }, tally, used, options.maxDropped);
}

/** Reads a sounding log from a source; see `readLog`. */
export async function* readSoundingsFrom(
  source: ByteSource,
  job: Job,
): AsyncGenerator<SoundingLog, RowAccount> {
  const step = await readerOf(source, job.readers);
  if (step === undefined) return yield* readSource(source, job.options, job.report);
  if ((job.depth ?? 0) > DEEPEST) throw new Refusal([says.nested({ file: source.name })]);
  return yield* readWith(step, source, job);
}

/** Yields the soundings that a reader returns for an input, then the soundings in the files it returns. */
async function* readWith(
  step: Step<ReaderPlugin>,
  source: ByteSource,
  job: Job,
): AsyncGenerator<SoundingLog, RowAccount> {
  const { options, readers } = job;
  const file = source.name;
  const tally = createTally(job.report, options.explain);
  const { name } = step.plugin;
  const beat = (): void => readers.enter?.(step.isUserPlugin === true ? name : '');
  const context = readerContext(file, options, readers.places, tally, (share) => {
    beat();
    options.progress?.(Math.min(share, 1) * source.size, source.size);
  });
  const input = { file, bytes: await bytesOf(source), sibling: job.sibling };
  beat();
  const reading: Reading = await guarded(name, () => step.plugin.read(input, step.options as never, context));
  if (reading?.soundings === undefined && reading?.files === undefined)
    throw new Refusal([says['nothing-inside depths']({ file })]);
  let used = 0;
  let depths: DepthReading | undefined;
  for await (const points of steps(name, reading.soundings)) {
    checkColumns('value of-stage', name, points);
    if (depths === undefined || depths.isOpen === true)
      depths = depthReading(points, options, { file }, tally);
    const part = pointsToLog(points, depths, file, options, tally);
    used += part.count;
    if (part.count > 0) yield part;
    beat();
  }
  readers.enter?.('');
  const own = endOfReader(file, used, options, tally, reading.soundings !== undefined);
  return sum(own, yield* readInner(name, reading, source, job));
}

/**
 * Reads the files inside an input one after the other. A refused file is reported, and other files are still
 * read.
 *
 * @throws Refusal when all files are refused, or when a table made from the input itself is.
 */
async function* readInner(
  reader: string,
  { files }: Reading,
  source: ByteSource,
  job: Job,
): AsyncGenerator<SoundingLog, RowAccount> {
  let account: RowAccount = { read: 0, used: 0, dropped: {} };
  const refused: Diagnostic[] = [];
  const passedOver: Diagnostic[] = [];
  let isRead = false;
  for await (const inner of steps(reader, files)) {
    const parts: SoundingLog[] = [];
    try {
      const name = nameOf(source.name, inner);
      const own = innerJob(inner, name === source.name ? undefined : name, job);
      const content = memorySource(name, inner.bytes);
      const reading =
        inner.name === ''
          ? readCsvSoundings(content, own.options, own.report)
          : readSoundingsFrom(content, own);
      let next = await reading.next();
      // No part of a file may be passed on before the whole file is known to be usable.
      for (; !next.done; next = await reading.next()) parts.push(byRecord(next.value, inner));
      account = sum(account, next.value);
      isRead = true;
    } catch (cause) {
      if (!(cause instanceof Refusal)) throw cause;
      if (inner.name === '')
        throw new Refusal(
          cause.diagnostics.map((each) => placedByRecord(each, inner)),
          cause.status,
        );
      (inner.isOptional === true ? passedOver : refused).push(...cause.diagnostics);
      continue;
    }
    yield* parts;
  }
  const all = [...refused, ...passedOver];
  if (!isRead && all.length > 0) throw new Refusal(all);
  for (const diagnostic of refused) job.report(diagnostic);
  // Without `repair`, the user is not asked for options for a file that may be skipped.
  for (const { repair: _repair, ...diagnostic } of passedOver)
    job.report({ ...diagnostic, severity: 'warning' });
  return account;
}

const nameOf = (file: string, { name }: InnerFile): string => (name === '' ? file : `${file}/${name}`);

/** @param name Name of the inner file; undefined for a table made from the input itself. */
function innerJob(inner: InnerFile, name: string | undefined, job: Job): Job {
  const { columns, sibling } = inner;
  const { progress: _progress, ...outer } = job.options;
  const options = { ...outer, ...(name === undefined ? {} : job.readers.optionsOf?.(name)) };
  return {
    ...job,
    options: { ...options, columns: columns ?? options.columns },
    report: (diagnostic) => job.report(placedByRecord(diagnostic, inner)),
    sibling: sibling ?? job.sibling,
    depth: (job.depth ?? 0) + 1,
  };
}

export async function bytesOf(source: ByteSource): Promise<Uint8Array> {
  const { bytes } = await headOf(source.chunks(), Number.POSITIVE_INFINITY);
  return bytes;
}

/** Iterates over values of a reader. Errors of the reader are thrown under the reader's name. */
async function* steps<T>(
  name: string,
  values: Iterable<T> | AsyncIterable<T> | undefined,
): AsyncGenerator<T> {
  if (values === undefined) return;
  const iterator =
    Symbol.asyncIterator in values ? values[Symbol.asyncIterator]() : values[Symbol.iterator]();
  for (;;) {
    const next = await guarded(name, () => iterator.next());
    if (next.done) return;
    yield next.value;
  }
}

/**
 * @param code Message for columns from a plugin or from a calling program, whose `name` is given.
 * @throws Refusal unless position, depth and all other columns given are typed arrays of one length.
 */
function checkColumns(
  code: 'value of-stage' | 'value of-columns',
  name: string,
  { lat, lon, depth, time, temperature, pass, line }: ReadSoundings,
): void {
  const refuse = (found: string, expected: string): never => {
    throw new Refusal([saysOfPlugin[code](undefined, name, found, expected)]);
  };
  const required = { lat, lon, depth };
  for (const [column, values] of Object.entries({ ...required, time, temperature, pass, line })) {
    if (values === undefined && !Object.hasOwn(required, column)) continue;
    if (!ArrayBuffer.isView(values)) refuse(`column "${column}" as ${valueKind(values)}`, 'a typed array');
    else if (values.length !== lat.length)
      refuse(`${plural(values.length, 'value')} in column "${column}"`, `${lat.length} as in "lat"`);
  }
}

function sum(a: RowAccount, b: RowAccount): RowAccount {
  const dropped: Record<string, number> = { ...a.dropped };
  for (const [code, rows] of Object.entries(b.dropped)) dropped[code] = (dropped[code] ?? 0) + rows;
  return { read: a.read + b.read, used: a.used + b.used, dropped };
}

/**
 * Returns whether the head of a file is not text: more than a tenth of its first 512 bytes are control
 * characters other than tabs, line ends and form feeds. Zero bytes do not count either, since a lost disk
 * block leaves zeros in a text file.
 */
function isBinary(head: Uint8Array): boolean {
  const start = head.subarray(0, 512);
  const odd = (byte: number): boolean =>
    (byte > 0 && byte < 32 && ![9, 10, 12, 13].includes(byte)) || byte === 127;
  return start.filter(odd).length > start.length / 10;
}

/** Counts records instead of lines in soundings from a table made from records. Its first line is a header. */
const byRecord = (log: SoundingLog, { record }: InnerFile): SoundingLog =>
  record === undefined ? log : { ...log, record, line: log.line.map((line) => line - 1) };

/** Counts records instead of lines in a diagnostic on a table made from records; see `byRecord`. */
function placedByRecord(diagnostic: Diagnostic, { record }: InnerFile): Diagnostic {
  const { line, ...place } = diagnostic.place ?? {};
  if (record === undefined || line === undefined) return diagnostic;
  return { ...diagnostic, place: line === 1 ? place : { ...place, line: line - 1, record } };
}
