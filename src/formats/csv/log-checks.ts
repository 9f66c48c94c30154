import { Refusal, type RowAccount } from '../../../shared/contract/index.ts';
import { type At, mixedDecimals, soundings as says, tooManyDropped } from '../../../shared/text/index.ts';
import type { LineReader } from './line-reader.ts';
import type { Tally } from './tally.ts';

/**
 * Account of the rows of a log, made after everything about the log is reported.
 *
 * @param used Rows returned.
 * @throws Refusal when too many rows could not be read.
 * @throws Error when rows are unaccounted for: a defect of the reader.
 */
export function finishLog(reader: LineReader, used: number): RowAccount {
  const { notes, tally, layout, options } = reader;
  if (reader.erased > 0) tally.flag(says.erasedLogTail({ line: notes.line }, reader.erased));
  noteTimes(reader);
  if ([notes.lf, notes.crlf, notes.cr].filter((n) => n > 0).length > 1) tally.flag(says.mixedLineEnds({}));
  if (notes.quotedDecimalLine > 0)
    tally.flag(says.quotedDecimal({ line: notes.quotedDecimalLine }, '"59,5"'));
  if (used > 0 && notes.decimals <= 3 && layout.at.lat >= 0) {
    tally.flag(
      says.coarseResolution({}, notes.decimals, Math.round((111_000 / 10 ** notes.decimals) * 10) / 10),
    );
  }
  if (used === 0) tally.flag(says.nothingUsable({}, tally.read));
  const account = tally.account(used);
  const otherMark = account.dropped['soundings/decimal-mark'] ?? 0;
  if (otherMark > Math.max(2, account.read / 100)) {
    tally.flush();
    throw new Refusal([mixedDecimals({}, layout.columns[layout.at.depth].name)]);
  }
  refuseMostlyDropped({}, account, tally, options.maxDropped);
  tally.flush();
  return account;
}

function noteTimes({ notes: { forms }, tally, layout, options }: LineReader): void {
  const used = (Object.keys(forms) as (keyof typeof forms)[]).filter((form) => forms[form] > 0);
  const isZoneless = forms.local > 0 || forms['day-number'] > 0 || forms.date > 0;
  if (isZoneless && options.tz === undefined) tally.flag(says.zonelessTimes({}, layout.time.zone.name));
  if (forms.date > 0) tally.flag(says.daysOnly({}));
  if (forms['time-of-day'] > 0 && used.length === 1) tally.flag(says.relativeTimes({}));
  if (used.length > 1) tally.flag(says.mixedTimes({}, used));
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

/** @throws Refusal when so many rows could not be read that the log is not understood. */
export function refuseMostlyDropped(at: At, account: RowAccount, tally: Tally, most: number): void {
  const unread = Object.entries(account.dropped).filter(([code]) => !SAID_BY_LOG.includes(code));
  const dropped = unread.reduce((sum, [, n]) => sum + n, 0);
  // One bad last line of a handful of rows is no reason to refuse.
  if (dropped <= 1 || dropped <= most * account.read) return;
  const [main] = unread.reduce((a, b) => (b[1] > a[1] ? b : a));
  tally.flush();
  throw new Refusal([tooManyDropped(at, dropped, account.read, most, main)]);
}
