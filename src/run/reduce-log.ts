import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import type { LogPlugin } from '../../shared/contract/plugin.ts';
import type { RowAccount, SoundingLog } from '../../shared/contract/soundings.ts';
import { togetherByRank } from '../../shared/contract/together.ts';
import { fileSource } from '../formats/csv/byte-source.ts';
import type { ReaderOptions } from '../formats/csv/reader-options.ts';
import { splitSoundingLog } from '../formats/csv/sounding-logs.ts';
import type { ReducedPart, TakenPart } from './log-pool.ts';
import type { Step } from './plan-pipeline.ts';
import { type LogReaders, readerOf, readLog } from './reading/read-log.ts';
import { joinReduced, type RangeJob, type ReducedRange, rangeJob } from './reduce-ranges.ts';
import { type Enter, reducePart, takeRows } from './run-logs.ts';
import type { StoredLog } from './store/log-codec.ts';
import { joinSoundings } from './survey-builder.ts';

/** Reduces one part; resolves as soon as the part was taken over, so that reading can go on. */
export type ReducePart = (part: SoundingLog) => Promise<TakenPart>;

/** Reads ranges of a log and reduces them, in this thread and others. */
export type ReduceRanges = (job: RangeJob, take: (range: ReducedRange) => void) => Promise<void>;

/** Runs the log plugins in this thread. */
export const reduceHere =
  (steps: readonly Step<LogPlugin>[], enter?: Enter): ReducePart =>
  async (part) => ({ answer: Promise.resolve(reducePart(part, steps, enter)) });

/**
 * Reads one log and runs the log plugins on each of its parts.
 *
 * A long plain log is read range by range where `reduceRanges` is given; any other, and one in which that meets
 * something odd, is read whole. Both give the same.
 *
 * @returns Reduced soundings of the whole log, in shared memory; what was said is among them too.
 * @throws Refusal when the file is refused or a plugin throws.
 */
export async function reduceLog(
  file: string,
  options: ReaderOptions,
  reduce: ReducePart,
  reduceRanges?: ReduceRanges,
  readers: LogReaders = { steps: [], places: [] },
): Promise<WholeLog> {
  const split =
    reduceRanges === undefined ? undefined : await reduceSplit(file, options, reduceRanges, readers);
  return split ?? reduceWhole(file, options, reduce, readers);
}

/** A reduced log. */
export interface WholeLog extends StoredLog {
  /** False where it was read from several files. */
  readonly isAlone: boolean;
}

/** Reads a log from start to end, and hands each part on as it is read. */
async function reduceWhole(
  file: string,
  options: ReaderOptions,
  reduce: ReducePart,
  readers: LogReaders,
): Promise<WholeLog> {
  const diagnostics: Diagnostic[] = [];
  const parts = readLog(file, options, readers, (diagnostic) => diagnostics.push(diagnostic));
  const pending: Promise<ReducedPart>[] = [];
  let next = await parts.next();
  while (!next.done) {
    const { answer } = await reduce(next.value);
    // Looked at again below, in order; until then a failure must not count as unhandled.
    answer.catch(() => {});
    pending.push(answer);
    next = await parts.next();
  }
  const { account, isAlone } = next.value;
  return { ...joinParts(file, account, await Promise.all(pending), diagnostics), isAlone };
}

/** Reads a log range by range; undefined where it has to be read whole. */
async function reduceSplit(
  file: string,
  options: ReaderOptions,
  reduceRanges: ReduceRanges,
  readers: LogReaders,
): Promise<WholeLog | undefined> {
  const diagnostics: Diagnostic[] = [];
  const source = await fileSource(file);
  if (!source.isFile || (await readerOf(source, readers)) !== undefined) return undefined;
  const split = await splitSoundingLog(file, options, (diagnostic) => diagnostics.push(diagnostic));
  if (split === undefined) return undefined;
  const { log } = split;
  const ranges = new Array<ReducedRange | undefined>(log.ranges).fill(undefined);
  let taken = 0;
  await reduceRanges(rangeJob(log), (range) => {
    ranges[range.index] = range;
    options.progress?.(++taken, log.ranges);
  });
  await split.checkUnchanged();
  const joined = joinReduced(split, ranges);
  return joined === undefined
    ? undefined
    : { ...joinParts(file, joined.account, joined.parts, diagnostics), isAlone: true };
}

function joinParts(
  file: string,
  read: RowAccount,
  parts: readonly ReducedPart[],
  diagnostics: Diagnostic[],
): StoredLog {
  let account = read;
  let received = 0;
  for (const reduced of parts) {
    account = takeRows(account, reduced.dropped);
    received += reduced.received;
    diagnostics.push(...reduced.diagnostics);
  }
  // The reader's account against what the threads say they got: a part lost or taken twice must not go unseen.
  if (received !== read.used)
    throw new Error(`${file}: ${read.used} rows were read, ${received} reached the log plugins`);
  const soundings = joinSoundings(parts.map((reduced) => reduced.soundings));
  return { soundings, account, diagnostics: togetherByRank(diagnostics) };
}
