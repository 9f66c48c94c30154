import type { SoundingLog } from '../../../shared/contract/soundings.ts';
import { completeLines } from './byte-lines.ts';
import { clearNotes, copyNotes, type ScanNotes } from './byte-scanner.ts';
import { createLineReader, readEnd, readLines } from './line-reader.ts';
import type { LineReader } from './line-rows.ts';
import { createLogState, finishPart } from './log-checks.ts';
import type { RangeSource } from './range-source.ts';
import { type RowColumns, reserveRows, viewLogPart } from './row-columns.ts';
import type { Sniffed } from './sniff-layout.ts';
import { type SplitLog, startOf } from './split-log.ts';
import { createTally, type TallyData } from './tally.ts';

/** Most bytes of a line begun in the range or chunk before. */
const LONGEST_CARRY = 64 * 1024;
/** Bytes before a range that tell what the last lines looked like, as in `line-reader.ts`. */
const TAIL_BYTES = 4096;

/** Few lines are shorter: room for so many rows is made at once, bytes. */
const SHORT_LINE = 32;

/** What a thread uses again for every range: memory, and a reader whose scanner is compiled once. */
export interface RangeMemory {
  readonly text: Uint8Array;
  readonly start: Sniffed;
  readonly reader: LineReader;
}

export function createRangeMemory(log: SplitLog): RangeMemory {
  const start = startOf(log);
  const tally = createTally(() => {}, false);
  const reader = createLineReader(log.file, start, log.options, tally);
  reserveRows(reader.rows, Math.ceil(log.bytes.range / SHORT_LINE));
  return { text: new Uint8Array(LONGEST_CARRY + log.bytes.chunk), start, reader };
}

/** What is to be known of a range when all are put together, as plain data. Lines are counted from its first. */
export interface RangeAccount {
  /** Rows of its part. */
  readonly used: number;
  readonly tally: TallyData;
  readonly notes: ScanNotes;
  /** Time of the first row that has one, as read, and the last time as mended, s; NaN for none. */
  readonly firstTime: number;
  readonly lastTime: number;
  /** Erased bytes (00 or FF) at its end. */
  readonly erased: number;
}

/** A range as read. */
export interface ReadRange {
  /** Its rows, in the memory given: good until the next range is read. Absent where a last range has none. */
  readonly part?: SoundingLog;
  readonly account: RangeAccount;
}

/**
 * Reads the lines that end in one range of a log, into the very part that reading the log whole makes of them.
 *
 * The range starts with the line that is open where the range before ends, and is read in the chunks and by the line
 * reader of `readCsvSoundings`.
 * @returns undefined where that would not be the same: what is open at the end of the range reaches into the next
 *   (a quoted field, erased bytes), the header changes, there are no rows, or they are not in order of time. The log
 *   is then to be read whole.
 */
export async function readRange(
  log: SplitLog,
  index: number,
  source: RangeSource,
  memory: RangeMemory,
): Promise<ReadRange | undefined> {
  const { start } = memory;
  const isLast = index === log.ranges - 1;
  const tally = createTally(() => {}, false);
  const reader: LineReader = { ...memory.reader, tally };
  reader.rows.count = 0;
  clearNotes(reader.notes, index === 0 ? start.line : 1);
  const rest = await readChunks(log, index, source, memory.text, reader, start.offset);
  if (rest === undefined) return undefined;
  if (isLast) await readEnd(reader, rest);
  else if (reader.erased > 0 || reader.isTouched || reader.rows.count === 0) return undefined;
  if (reader.layout !== start.layout) return undefined;
  const state = createLogState();
  const firstTime = firstTimeOf(reader.rows);
  const isEmpty = reader.rows.count === 0;
  const part = isEmpty ? undefined : finishPart(viewLogPart(reader.rows, log.file, index), state, tally);
  if (state.isReordered) return undefined;
  const { notes, erased } = reader;
  const { lastTime, rows: used } = state;
  return {
    part,
    account: { used, tally: tally.taken(), notes: copyNotes(notes), firstTime, lastTime, erased },
  };
}

/** Reads all chunks of a range. @returns What follows the last line end, or undefined where more than that is open. */
async function readChunks(
  { bytes, size, ranges }: SplitLog,
  index: number,
  source: RangeSource,
  text: Uint8Array,
  reader: LineReader,
  skip: number,
): Promise<Uint8Array | undefined> {
  const first = index * bytes.range;
  const end = index === ranges - 1 ? size : first + bytes.range;
  // The open line lies right before the next chunk, so both are one text.
  let carry = 0;
  if (index > 0) {
    const before = text.subarray(0, LONGEST_CARRY);
    const room = Math.min(LONGEST_CARRY, first);
    const known = before.subarray(LONGEST_CARRY - room);
    if (source.readAt(known, first - room) < room) return undefined;
    const whole = completeLines(known);
    if (whole === 0) return undefined;
    reader.tail = new Uint8Array(known.subarray(Math.max(0, whole - TAIL_BYTES), whole));
    carry = room - whole;
  }
  for (let at = first; at < end; at += bytes.chunk) {
    const length = Math.min(bytes.chunk, end - at);
    if (source.readAt(text.subarray(LONGEST_CARRY, LONGEST_CARRY + length), at) < length) return undefined;
    const begin = LONGEST_CARRY - carry + (at === 0 ? skip : 0);
    const lines = text.subarray(begin, LONGEST_CARRY + length);
    const whole = completeLines(lines);
    const done = await readLines(reader, lines.subarray(0, whole), false);
    carry = lines.length - done;
    if (carry > LONGEST_CARRY || (done < whole && at + length >= end)) return undefined;
    text.copyWithin(LONGEST_CARRY - carry, begin + done, LONGEST_CARRY + length);
  }
  return text.subarray(LONGEST_CARRY - carry, LONGEST_CARRY);
}

function firstTimeOf({ time, count }: RowColumns): number {
  for (let i = 0; i < count; i++) if (!Number.isNaN(time[i])) return time[i];
  return Number.NaN;
}
