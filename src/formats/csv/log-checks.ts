import { Refusal, type RowAccount, type SoundingLog } from '../../../shared/contract/index.ts';
import { hasDay, STRETCH } from '../../../shared/survey/index.ts';
import {
  coarseResolution,
  daysOnly,
  duplicateDropped,
  erasedLogTail,
  mixedDecimals,
  mixedLineEnds,
  mixedTimes,
  nothingUsable,
  outOfOrder,
  quotedDecimal,
  relativeTimes,
  samePlaceDepths,
  timeGoesBack,
  timeRollover,
  tooManyDropped,
  zonelessTimes,
} from '../../../shared/text/index.ts';
import type { ScanNotes } from './byte-scanner.ts';
import type { LineReader } from './line-rows.ts';
import type { ReaderOptions } from './reader-options.ts';
import type { Tally } from './tally.ts';
import { orderOfTime } from './time-order.ts';

/** State carried from part to part of a log. */
export interface LogState {
  /** Rows returned so far. */
  rows: number;
  /** Last time seen, s. */
  lastTime: number;
  /** Midnights passed so far by a clock without dates. */
  midnights: number;
}

export const createLogState = (): LogState => ({
  rows: 0,
  lastTime: Number.NaN,
  midnights: 0,
});

/**
 * Seconds in 1024 weeks. A receiver that loses count is early by exactly this much (IS-GPS-200: 10-bit week number).
 */
const ROLLOVER = 619_315_200;
/** Tolerance for recognizing a 1024-week step, s. */
const NEAR_ROLLOVER = 120;
const HALF_DAY = 43_200;
const DAY = 86_400;

/**
 * A part with continuous times and without repeated rows.
 *
 * Rows out of order are sorted by time. A clock without dates continues past midnight. Times that are 1024 weeks early
 * are dropped, and so are rows that repeat the time, position and depth of an earlier row of the part.
 */
export function finishPart(part: SoundingLog, state: LogState, tally: Tally): SoundingLog {
  if (hasPlainTimes(part, state)) {
    state.rows += part.count;
    state.lastTime = part.time[part.count - 1];
    return part;
  }
  const rising = putInOrder(part, tally);
  mendTimes(rising, state, tally);
  const keep = findRepeats(rising, tally);
  state.rows += keep === undefined ? rising.count : keep.length;
  return keep === undefined ? rising : pickRows(rising, keep);
}

function putInOrder(part: SoundingLog, tally: Tally): SoundingLog {
  const order = orderOfTime(part);
  if (order === undefined) return part;
  tally.doubt(outOfOrder({ file: part.file, line: part.line[0] }));
  return pickRows(part, order);
}

/** True when full times rise from row to row, the usual case, so there is nothing to repair and nothing repeated. */
function hasPlainTimes({ time, count }: SoundingLog, { lastTime }: LogState): boolean {
  if (count === 0 || !hasDay(time[0]) || time[0] <= lastTime) return false;
  const start = Number.isNaN(lastTime) ? time[0] : lastTime;
  if (!(time[count - 1] - start < ROLLOVER - NEAR_ROLLOVER)) return false;
  for (let from = 1; from < count; from += STRETCH)
    if (!isRising(time, from, Math.min(from + STRETCH, count))) return false;
  return true;
}

function isRising(time: Float64Array, from: number, to: number): boolean {
  for (let i = from; i < to; i++) if (!(time[i] > time[i - 1])) return false;
  return true;
}

function mendTimes(part: SoundingLog, state: LogState, tally: Tally): void {
  const { time, line, file, count } = part;
  for (let i = 0; i < count; i++) {
    const t = time[i];
    if (Number.isNaN(t)) continue;
    const before = state.lastTime;
    if (t < DAY) {
      // A time of day in a log with full times elsewhere has no date.
      if (hasDay(before)) {
        time[i] = Number.NaN;
        continue;
      }
      if (before - state.midnights * DAY - t > HALF_DAY) state.midnights++;
      time[i] = t + state.midnights * DAY;
      if (time[i] < before) tally.doubt(timeGoesBack({ file, line: line[i] }));
      state.lastTime = time[i];
      continue;
    }
    const step = t - before;
    if (Math.abs(step + ROLLOVER) < NEAR_ROLLOVER) {
      time[i] = Number.NaN;
      tally.doubt(timeRollover({ file, line: line[i] }));
      continue;
    }
    if (Math.abs(step - ROLLOVER) < NEAR_ROLLOVER) {
      for (let j = 0; j < i; j++) if (time[j] < t - ROLLOVER / 2) dropTime(part, j, tally);
    } else if (step < 0) tally.doubt(timeGoesBack({ file, line: line[i] }));
    state.lastTime = t;
  }
}

function dropTime(part: SoundingLog, row: number, tally: Tally): void {
  part.time[row] = Number.NaN;
  tally.doubt(timeRollover({ file: part.file, line: part.line[row] }));
}

/**
 * Number of earlier stretches of rising times searched for repeats. A log has a handful; a noisy clock may make
 * thousands.
 */
const MOST_STRETCHES = 64;

/** Rows to keep when some repeat an earlier one; undefined when none does. */
function findRepeats(part: SoundingLog, tally: Tally): number[] | undefined {
  const { count, time, lat, lon, depth, line, file } = part;
  let keep: number[] | undefined;
  // First row of each stretch of rising times, oldest first. The last stretch is still being read.
  const starts = [0];
  let last = Number.NaN;
  for (let i = 0; i < count; i++) {
    const t = time[i];
    let isRepeat = false;
    if (t < last) starts.push(i);
    // A row with the same time is either directly above or in an earlier stretch.
    if (t === last || starts.length > 1) {
      const rivals = rowsAt(time, starts, i).filter((j) => lat[i] === lat[j] && lon[i] === lon[j]);
      isRepeat = rivals.some((j) => depth[i] === depth[j]);
      if (!isRepeat && rivals.length > 0) tally.doubt(samePlaceDepths({ file, line: line[i] }));
    }
    if (!Number.isNaN(t)) last = t;
    if (isRepeat) {
      keep ??= Array.from({ length: i }, (_, j) => j);
      tally.drop(duplicateDropped({ file, line: line[i] }));
    } else keep?.push(i);
  }
  return keep;
}

/** Earlier rows with the same time as a row, in its own stretch and the last few before it. */
function rowsAt(time: Float64Array, starts: readonly number[], row: number): number[] {
  const rows: number[] = [];
  for (let s = Math.max(0, starts.length - MOST_STRETCHES); s < starts.length; s++) {
    const end = s + 1 < starts.length ? starts[s + 1] : row;
    for (let j = firstNotBefore(time, starts[s], end, time[row]); j < end && time[j] <= time[row]; j++) {
      if (time[j] === time[row]) rows.push(j);
    }
  }
  return rows;
}

/** First row of a stretch of rising times whose time is not before `t`. Rows without a time count as before. */
function firstNotBefore(time: Float64Array, from: number, to: number, t: number): number {
  let low = from;
  let high = to;
  while (low < high) {
    let middle = (low + high) >> 1;
    const half = middle;
    while (middle < high && Number.isNaN(time[middle])) middle++;
    if (middle < high && time[middle] < t) low = middle + 1;
    else high = half;
  }
  return low;
}

/** A new part with the given rows of another. */
export function pickRows(part: SoundingLog, rows: ArrayLike<number>): SoundingLog {
  const pick = <T extends Float64Array | Float32Array | Int32Array | Uint32Array>(from: T): T => {
    const to = new (from.constructor as new (length: number) => T)(rows.length);
    for (let i = 0; i < rows.length; i++) to[i] = from[rows[i]];
    return to;
  };
  return {
    file: part.file,
    part: part.part,
    count: rows.length,
    lat: pick(part.lat),
    lon: pick(part.lon),
    depth: pick(part.depth),
    time: pick(part.time),
    pass: pick(part.pass),
    weight: pick(part.weight),
    shallowest: pick(part.shallowest),
    line: pick(part.line),
    ...(part.temperature === undefined ? {} : { temperature: pick(part.temperature) }),
  };
}

/**
 * Account of the rows of a log, made after everything about the log is reported.
 *
 * @throws Refusal when too many rows could not be read.
 * @throws Error when rows are unaccounted for: a defect of the reader.
 */
export function finishLog(
  reader: LineReader,
  state: LogState,
  tally: Tally,
  options: ReaderOptions,
): RowAccount {
  const { notes, file } = reader;
  if (reader.erased > 0) tally.doubt(erasedLogTail({ file, line: notes.line }, reader.erased));
  noteTimes(notes, reader, tally);
  if ([notes.lf, notes.crlf, notes.cr].filter((n) => n > 0).length > 1) tally.doubt(mixedLineEnds({ file }));
  if (notes.quotedDecimalLine > 0)
    tally.doubt(quotedDecimal({ file, line: notes.quotedDecimalLine }, '"59,5"'));
  if (state.rows > 0 && notes.decimals <= 3 && reader.layout.at.lat >= 0) {
    tally.doubt(
      coarseResolution({ file }, notes.decimals, Math.round((111_000 / 10 ** notes.decimals) * 10) / 10),
    );
  }
  if (state.rows === 0) tally.doubt(nothingUsable({ file }, tally.read));
  const account = tally.account(state.rows);
  checkDropped(account, reader, tally, options);
  tally.flush();
  return account;
}

function noteTimes(notes: ScanNotes, reader: LineReader, tally: Tally): void {
  const { file, layout } = reader;
  const { forms } = notes;
  const used = (Object.keys(forms) as (keyof typeof forms)[]).filter((form) => forms[form] > 0);
  if (forms.local > 0 || forms['day-number'] > 0 || forms.date > 0) {
    if (reader.options.tz === undefined) tally.doubt(zonelessTimes({ file }, layout.time.zone.name));
  }
  if (forms.date > 0) tally.doubt(daysOnly({ file }));
  if (forms['time-of-day'] > 0 && used.length === 1) tally.doubt(relativeTimes({ file }));
  if (used.length > 1) tally.doubt(mixedTimes({ file }, used));
}

/** Reasons for dropping a row that are not reading errors. */
const SAID_BY_LOG = [
  'lost-bottom',
  'no-depth',
  'no-fix',
  'no-position',
  'channel',
  'marked-invalid',
  'duplicate-row',
  'off-track',
].map((code) => `soundings/${code}`);

function checkDropped(account: RowAccount, reader: LineReader, tally: Tally, options: ReaderOptions): void {
  const { file, layout } = reader;
  const otherMark = account.dropped['soundings/decimal-mark'] ?? 0;
  if (otherMark > Math.max(2, account.read / 100)) {
    tally.flush();
    throw new Refusal([mixedDecimals({ file }, layout.columns[layout.at.depth].name)]);
  }
  refuseMostlyDropped(file, account, tally, options.maxDropped);
}

/** @throws Refusal when so many rows could not be read that the log is not understood. */
export function refuseMostlyDropped(file: string, account: RowAccount, tally: Tally, most: number): void {
  const unread = Object.entries(account.dropped).filter(([code]) => !SAID_BY_LOG.includes(code));
  const dropped = unread.reduce((sum, [, n]) => sum + n, 0);
  // One bad last line of a handful of rows is no reason to refuse.
  if (dropped <= 1 || dropped <= most * account.read) return;
  const [main] = unread.reduce((a, b) => (b[1] > a[1] ? b : a));
  tally.flush();
  throw new Refusal([tooManyDropped({ file }, dropped, account.read, most, main)]);
}
