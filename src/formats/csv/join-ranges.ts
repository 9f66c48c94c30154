import type { RowAccount } from '../../../shared/contract/soundings.ts';
import { createScanNotes, type ScanNotes } from './byte-scanner.ts';
import { createLogState, finishLog, isPlainSeam } from './log-checks.ts';
import type { RangeAccount } from './range-reader.ts';
import { type SplitLog, startOf } from './split-log.ts';
import type { Tally } from './tally.ts';

/** A log put together of its ranges. */
export interface JoinedRanges {
  readonly account: RowAccount;
  /** Lines of the log before the first of each range. */
  readonly linesBefore: readonly number[];
}

/**
 * What became of the rows of a log, from what became of those of its ranges, after everything is reported.
 *
 * @param tally As `splitLog` made it.
 * @returns undefined where times do not simply go on from range to range: the log is then to be read whole.
 * @throws Refusal as reading the log whole does.
 */
export function joinRanges(
  log: SplitLog,
  tally: Tally,
  ranges: readonly RangeAccount[],
): JoinedRanges | undefined {
  const notes = createScanNotes();
  const state = createLogState();
  const linesBefore: number[] = [];
  for (const range of ranges) {
    if (!isPlainSeam(state.lastTime, range.firstTime)) return undefined;
    // The first range counts its lines from the start of the log.
    const before = linesBefore.length === 0 ? 0 : notes.line - 1;
    linesBefore.push(before);
    addNotes(notes, range.notes, before);
    tally.absorb(range.tally, before);
    state.rows += range.used;
    if (!Number.isNaN(range.lastTime)) state.lastTime = range.lastTime;
  }
  const { layout } = startOf(log);
  const erased = ranges.at(-1)?.erased ?? 0;
  const end = { file: log.file, options: log.options, layout, notes, erased };
  return { account: finishLog(end, state, tally, log.options), linesBefore };
}

function addNotes(notes: ScanNotes, more: ScanNotes, before: number): void {
  notes.line = before + more.line;
  notes.decimals = Math.max(notes.decimals, more.decimals);
  notes.lf += more.lf;
  notes.crlf += more.crlf;
  notes.cr += more.cr;
  if (notes.quotedDecimalLine === 0 && more.quotedDecimalLine > 0)
    notes.quotedDecimalLine = before + more.quotedDecimalLine;
  for (const form of Object.keys(notes.forms) as (keyof ScanNotes['forms'])[])
    notes.forms[form] += more.forms[form];
}
