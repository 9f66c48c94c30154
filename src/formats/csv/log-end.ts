import { type Diagnostic, Refusal, type RowAccount } from '../../../shared/contract/index.ts';
import {
  type At,
  refusalMessages as refusals,
  soundingMessages as says,
  TIME_FORMS,
} from '../../../shared/text/index.ts';
import { decodeLine, isPassedOver, type LineReader, readFields, readLines } from './line-reader.ts';
import { erasedRun, headLines, lastLineEndOf, splitPlain } from './lines.ts';
import { fieldsOf } from './quoted-lines.ts';
import { reserveRows } from './row-columns.ts';
import type { Tally } from './tally.ts';

/** Reads the last bytes of a log: whole lines, then a last line without a line end, if any. */
export function readEnd(reader: LineReader, bytes: Uint8Array): void {
  const { tally, layout } = reader;
  const ended = lastLineEndOf(bytes);
  const at = readLines(reader, bytes.subarray(0, ended), true);
  const line = bytes.subarray(at);
  const lead = erasedRun(line, 0);
  let stop = line.length;
  while (stop > lead && (line[stop - 1] === 0 || line[stop - 1] === 0xff)) stop--;
  reader.erased += lead + line.length - stop;
  if (lead > 0) reader.isTouched = true;
  if (stop === lead) return;
  if (stop < line.length) reader.isTouched = true;
  const text = decodeLine(reader, line.subarray(lead, stop));
  if (isPassedOver(reader, text)) return;
  const fields = fieldsOf(text, layout.delimiter);
  const fault = lastRowFault(reader, fields);
  if (fault !== undefined) {
    tally.read++;
    tally.drop(fault);
    return;
  }
  reserveRows(reader.rows, 2);
  const whole = fields!.length < layout.columns.length ? [...fields!, ''] : fields!;
  readFields(reader, whole, text);
}

function lastRowFault(
  { layout, notes, options, isTouched, tail }: LineReader,
  fields: readonly string[] | undefined,
): Diagnostic | undefined {
  const { columns, delimiter, at } = layout;
  const here = { line: notes.line };
  if (isTouched) return says.erased(here);
  if (fields === undefined) return says.quote(here);
  const named = columns.filter(({ name }, i) => name !== '' || i < columns.length - 1).length;
  if (fields.length < named) return says.truncated(here, fields.length, columns.length);
  // A line cut after the last used column has lost nothing that is used.
  if (options.keepLast || Math.max(...Object.values(at)) < fields.length - 1) return undefined;
  const last = fields.at(-1)!;
  const isWhole = isWholeLastField(last, lastFieldsOf(tail, delimiter, fields.length));
  return isWhole ? undefined : says['cut-line'](here, last);
}

/** Minimum number of earlier rows for judging whether the last field is complete; judgment. */
const ROWS_OF_HABIT = 8;

/** Returns the last field of each line of `count` fields, except the first line, which may be cut. */
function lastFieldsOf(tail: Uint8Array, delimiter: string, count: number): string[] {
  const rows = headLines(tail, true).slice(1);
  return rows
    .map(({ text }) => splitPlain(text, delimiter))
    .filter((fields) => fields.length === count)
    .map((fields) => fields[count - 1].trim());
}

/**
 * Returns whether the last field of a line without a line end is surely complete. This needs ROWS_OF_HABIT
 * earlier fields or more, all of the shape of this field, and a shape that shows where a value ends.
 *
 * A number of another shape may be cut ("1" of "12.4"), and a whole number can always be cut ("1" of "12").
 */
function isWholeLastField(text: string, before: readonly string[]): boolean {
  if (before.length < ROWS_OF_HABIT) return false;
  const shape = shapeOf(text.trim());
  return shape !== '' && before.every((field) => shapeOf(field) === shape);
}

/**
 * Returns a shape that shows where a value ends: ".99" for two decimals, "9999-99-99T99:99:99Z" for a time.
 * Returns an empty text for a whole number, which may end anywhere.
 */
function shapeOf(text: string): string {
  const decimals = /^[+-]?\d*([.,]\d+)$/.exec(text);
  if (decimals !== null) return decimals[1].replace(/\d/g, '9');
  if (/^[+-]?\d*[.,]?$/.test(text)) return '';
  return text.replace(/\d/g, '9');
}

/**
 * Reports findings about the log as a whole, and closes its account.
 *
 * @param used Number of rows returned.
 * @throws Refusal when too many rows have another decimal mark, or in the same cases as `closedAccount`.
 */
export function finishLog(reader: LineReader, used: number): RowAccount {
  const { notes, tally, layout, options } = reader;
  if (reader.erased > 0) tally.flag(says['erased-tail']({ line: notes.line }, reader.erased));
  noteTimes(reader);
  if ([notes.lf, notes.crlf, notes.cr].filter((n) => n > 0).length > 1) tally.flag(says['line-ends']({}));
  if (notes.quotedDecimalLine > 0) tally.flag(says['decimal-comma']({ line: notes.quotedDecimalLine }));
  if (used > 0 && notes.decimals <= 3 && layout.at.lat >= 0) {
    tally.flag(says.resolution({}, notes.decimals, Math.round((111_000 / 10 ** notes.decimals) * 10) / 10));
  }
  if (used === 0) flagNothing({}, tally);
  const otherMark = tally.account(used).dropped['soundings/decimal-mark'] ?? 0;
  if (otherMark > Math.max(2, tally.read / 100)) {
    tally.flush();
    throw new Refusal([refusals['decimal-mark']({}, layout.columns[layout.at.depth].name)]);
  }
  return closedAccount({}, tally, used, options.maxDropped);
}

function noteTimes({ notes: { forms }, tally, layout, options }: LineReader): void {
  const used = TIME_FORMS.filter((form) => forms[form] > 0);
  if ((forms.local > 0 || forms.date > 0) && options.tz === undefined)
    tally.flag(says['time-zone']({}, layout.time.zone.name, forms.local > 0 ? 'Times' : 'Dates'));
  if (forms.date > 0) tally.flag(says['time-day-only']({}));
  if (forms['time-of-day'] > 0 && used.length === 1) tally.flag(says['time-relative']({}));
  if (used.length > 1) tally.flag(says['time-forms']({}, used));
}

/** Reports a log of which no row is used. */
export function flagNothing(at: At, tally: Tally): void {
  const { read, dropped } = tally.account(0);
  tally.flag(says['no-soundings'](at, read, dropped['soundings/no-depth'] ?? 0));
}

/** Codes of rows that are dropped for reasons other than reading errors. */
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

/**
 * Reports everything that was counted and returns the account of a log's rows.
 *
 * @param used Number of rows returned.
 * @param most Maximum share of the rows that may be unreadable, 0 to 1.
 * @throws Refusal when more rows are unreadable, and at least two: the layout was probably not recognized.
 * @throws Error when rows are unaccounted for: a defect of the reader.
 */
export function closedAccount(at: At, tally: Tally, used: number, most: number): RowAccount {
  const account = tally.account(used);
  const firsts = tally.flush();
  const unread = Object.entries(account.dropped).filter(([code]) => !SAID_BY_LOG.includes(code));
  const dropped = unread.reduce((sum, [, n]) => sum + n, 0);
  // A single bad row is no reason to refuse a log, even a short one.
  if (dropped <= 1 || dropped <= most * account.read) return account;
  const [main] = unread.reduce((a, b) => (b[1] > a[1] ? b : a));
  const first = firsts.get(main);
  throw new Refusal([
    refusals['too-many-dropped']({ ...at, ...first?.place }, dropped, account.read, most, first?.message),
  ]);
}
