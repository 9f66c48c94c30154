import { setImmediate } from 'node:timers/promises';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import type { LogPlugin } from '../../shared/contract/plugin.ts';
import type { RowAccount, Soundings } from '../../shared/contract/soundings.ts';
import { joinRanges } from '../formats/csv/join-ranges.ts';
import {
  createRangeMemory,
  type RangeAccount,
  type RangeMemory,
  readRange,
} from '../formats/csv/range-reader.ts';
import { openRanges, type RangeSource } from '../formats/csv/range-source.ts';
import type { Split, SplitLog } from '../formats/csv/split-log.ts';
import { linesLater } from '../formats/csv/tally.ts';
import type { ReducedPart } from './log-pool.ts';
import type { Step } from './plan-pipeline.ts';
import { type Enter, reducePart } from './run-logs.ts';

/** A log to be read by several threads: each takes the next range until none is left. */
export interface RangeJob {
  readonly log: SplitLog;
  /** Number of the next range, shared by all threads. */
  readonly next: SharedArrayBuffer;
}

export const rangeJob = (log: SplitLog): RangeJob => ({ log, next: new SharedArrayBuffer(4) });

/** One range after its plugins. */
export interface ReducedRange {
  readonly index: number;
  /** What was read; undefined where the log has to be read whole. */
  readonly account?: RangeAccount;
  /** Its rows after the plugins; lines in what they said are counted from the range's first. Absent for no rows. */
  readonly reduced?: ReducedPart;
}

/**
 * The fast path of a long plain log: takes ranges of it, reads each into block means, and hands them on.
 *
 * Nothing but the number of the next range is shared, so any number of threads may do this at once. Stops when a range
 * is met that cannot stand alone.
 */
export async function reduceRanges(
  { log, next }: RangeJob,
  steps: readonly Step<LogPlugin>[],
  take: (range: ReducedRange) => void,
  enter?: Enter,
  source: RangeSource = openRanges(log.file),
): Promise<void> {
  const counter = new Int32Array(next);
  const memory = createRangeMemory(log);
  try {
    for (;;) {
      const index = Atomics.add(counter, 0, 1);
      if (index >= log.ranges) return;
      const range = await reduceRange(log, index, source, memory, steps, enter);
      if (range.account === undefined) Atomics.store(counter, 0, log.ranges);
      take(range);
      // What other threads send is taken in between.
      await setImmediate();
    }
  } finally {
    source.close();
  }
}

async function reduceRange(
  log: SplitLog,
  index: number,
  source: RangeSource,
  memory: RangeMemory,
  steps: readonly Step<LogPlugin>[],
  enter?: Enter,
): Promise<ReducedRange> {
  const read = await readOrNone(log, index, source, memory);
  if (read?.part === undefined) return { index, account: read?.account };
  const reduced = reducePart(read.part, steps, enter, true);
  return {
    index,
    account: read.account,
    reduced: { ...reduced, soundings: ownColumns(reduced.soundings, memory) },
  };
}

/** A range; undefined for one that is refused: reading the log whole says why, and at which line. */
async function readOrNone(log: SplitLog, index: number, source: RangeSource, memory: RangeMemory) {
  try {
    return await readRange(log, index, source, memory);
  } catch (cause) {
    if (cause instanceof Refusal) return undefined;
    throw cause;
  }
}

/** Soundings whose columns are all their own: those that still lie in the memory of the range are copied. */
function ownColumns(soundings: Soundings, { reader }: RangeMemory): Soundings {
  const lent = new Set(
    Object.values(reader.rows).map((value) => (ArrayBuffer.isView(value) ? value.buffer : value)),
  );
  const columns = Object.entries(soundings).map(([name, value]) => [
    name,
    ArrayBuffer.isView(value) && lent.has(value.buffer) ? (value as Float64Array).slice() : value,
  ]);
  return Object.fromEntries(columns);
}

/**
 * The account of a log and its parts, in order, from all its ranges; lines are counted from the start of the log.
 *
 * @returns undefined where the log has to be read whole.
 * @throws Refusal as reading the log whole does.
 */
export function joinReduced(
  { log, tally }: Split,
  ranges: readonly (ReducedRange | undefined)[],
): { readonly account: RowAccount; readonly parts: readonly ReducedPart[] } | undefined {
  const accounts = ranges.flatMap((range) => range?.account ?? []);
  if (accounts.length < log.ranges) return undefined;
  const joined = joinRanges(log, tally, accounts);
  if (joined === undefined) return undefined;
  const parts = ranges.flatMap((range, index): ReducedPart[] => {
    if (range?.reduced === undefined) return [];
    const { diagnostics, ...reduced } = range.reduced;
    const before = joined.linesBefore[index];
    return [{ ...reduced, diagnostics: diagnostics.map((diagnostic) => linesLater(diagnostic, before)) }];
  });
  return { account: joined.account, parts };
}
