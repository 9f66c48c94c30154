import { type CsvFile, type Diagnostic, Refusal, type Report } from '../../shared/contract/index.ts';
import { LOG_COLUMNS } from '../../shared/day/index.ts';
import {
  type DayOrder,
  localReading,
  parseClock,
  parseDay,
  dayPlanMessages as says,
  type TimeZone,
  UTC,
} from '../../shared/text/index.ts';
import { headOfFile } from '../files/index.ts';
import { parseCsvBytes } from '../formats/csv/index.ts';
import { readGpx } from '../formats/gpx/index.ts';

type Row = CsvFile['rows'][number];

/**
 * Reads day logs (tables, plain lines or GPX) into one table; undefined without files.
 *
 * @param read Returns the content of a file.
 * @param names Names of the marks, so that names with spaces are recognized in plain lines.
 * @param zone Time zone of the plan, for the UTC times of waypoints; without a zone, UTC is kept and
 * reported.
 * @param order Order of day and month in dates that are only numbers, if the year does not come first.
 * @param repair True to repair a slightly broken GPX file.
 * @throws Refusal naming file and line of every unreadable plain line and waypoint without a time, or of a
 * fault in a table or GPX file.
 */
export async function readLogs(
  files: readonly string[],
  read: (file: string) => Uint8Array,
  names: readonly string[],
  zone: TimeZone | undefined,
  report: Report,
  order: DayOrder = 'mdy',
  repair = false,
): Promise<CsvFile | undefined> {
  if (files.length === 0) return undefined;
  const problems: Diagnostic[] = [];
  const rows: Row[] = [];
  for (const file of files) {
    const bytes = read(file);
    if (/\.gpx$/i.test(file)) {
      const dropped = gpxRows(bytes, file, zone ?? UTC, repair, problems);
      if (zone === undefined && dropped.length > 0) report(says['log-utc']({ file }));
      rows.push(...dropped);
    } else if (isTable(bytes)) rows.push(...(await tableRows(bytes, file)));
    else rows.push(...lineRows(bytes, file, names, problems));
  }
  if (problems.length > 0) throw new Refusal(problems);
  return { file: files.join(', '), header: LOG_COLUMNS, rows: withDays(rows, order, report) };
}

/** Writes dates as `YYYY-MM-DD` and reports once per file which order was assumed for an ambiguous date. */
function withDays(rows: readonly Row[], order: DayOrder, report: Report): Row[] {
  const said = new Set<string>();
  return rows.map((row) => {
    const { date = '', file = '' } = row.values;
    const read = parseDay(date, order) ?? (date.trim() === '' ? dayInName(file) : undefined);
    if (read === undefined) return row;
    if (read.isAmbiguous && !said.has(file))
      report(says['date-order']({ file }, date.trim(), read.day, order));
    if (read.isAmbiguous) said.add(file);
    return { ...row, values: { ...row.values, date: read.day } };
  });
}

/** Reads the date in a file name such as `2026-05-17.log`, for rows without a date. */
function dayInName(file: string) {
  const [found = ''] = /\d{4}-\d{2}-\d{2}/.exec(file.split(/[\\/]/).at(-1) ?? '') ?? [];
  return parseDay(found);
}

/** Number of bytes at the start of a file that show whether it is a day log. */
const HEAD = 65_536;
const DROPPED = /^\s*(\d{1,3})\s*f(?:ish)?\b(.*)$/i;

/** Tells whether a file is a day log, judged by its start, since a folder may hold sonar logs too. */
export function isDayLog(path: string): boolean {
  const head = headOfFile(path, HEAD);
  const text = new TextDecoder('utf-8').decode(head);
  if (/\.gpx$/i.test(path)) {
    const names = [...text.matchAll(/<name>([^<]*)<\/name>/g)].map(([, name]) => name);
    return names.some((name) => DROPPED.test(name));
  }
  if (isTable(head)) return /\bfish\b/i.test(text.split('\n', 20).join('\n'));
  const first = linesOf(head).find((line) => !isBlank(line)) ?? '';
  return parseLogLine(first, []) !== undefined;
}

/** Tells whether the first line after any comments is a table header with time and mark. */
function isTable(bytes: Uint8Array): boolean {
  const first = linesOf(bytes).find((line) => !isBlank(line)) ?? '';
  return /[,;\t|]/.test(first) && /\btime\b/i.test(first) && /\bmark\b/i.test(first);
}

/** Tells whether a line is empty or a comment. */
const isBlank = (line: string): boolean => /^\s*(#.*)?$/.test(line);

const linesOf = (bytes: Uint8Array): string[] => new TextDecoder('utf-8').decode(bytes).split(/\r\n|\n|\r/);

async function tableRows(bytes: Uint8Array, file: string): Promise<Row[]> {
  const table = await parseCsvBytes(bytes, file, { what: 'log', required: ['time', 'mark', 'fish'] });
  return table.rows.map(({ line, values }) => ({ line, values: { ...values, file, line: String(line) } }));
}

function lineRows(bytes: Uint8Array, file: string, names: readonly string[], problems: Diagnostic[]): Row[] {
  const longestFirst = [...new Set(names)].filter((name) => name !== '').sort((a, b) => b.length - a.length);
  const lines = linesOf(bytes).flatMap((text, at) => (isBlank(text) ? [] : { text, line: at + 1 }));
  const read = lines.map(({ text, line }) => ({ text, line, values: parseLogLine(text, longestFirst) }));
  const rows = read.flatMap(({ line, values }) =>
    values === undefined ? [] : { line, values: { ...values, file, line: String(line) } },
  );
  if (rows.length === 0 && lines.length > 1) {
    const [{ text, line }] = lines;
    problems.push(says['log-line none']({ file, line }, text.trim()));
    return [];
  }
  for (const { text, line, values } of read)
    if (values === undefined) problems.push(says['log-line']({ file, line }, text.trim()));
  return rows;
}

/** Parses a plain line into columns; undefined for any other line. @param names Marks, longest name first. */
export function parseLogLine(text: string, names: readonly string[]): Record<string, string> | undefined {
  const start =
    /^\s*(?:(\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4})\s+)?(\d{1,2}[:.]\d{2}(?:\s?[ap]m)?|\d{1,2}\s?[ap]m|\d{4})\s+(.*)$/i.exec(
      text,
    );
  if (start === null || parseClock(start[2]) === undefined) return undefined;
  const [, date, time, tail] = start;
  const known = names.find((name) => tail.toLowerCase().startsWith(`${name.toLowerCase()} `));
  const mark = known ?? /^\S+/.exec(tail)?.[0] ?? '';
  const rest = /^\s+(\d{1,3})(?:\s+(.*))?$/.exec(tail.slice(mark.length));
  if (mark === '' || rest === null) return undefined;
  return { date: date ?? '', time, mark, fish: rest[1], ...parseTail(rest[2] ?? '') };
}

function parseTail(text: string): { side: string; minutes: string; note: string } {
  const words = text.trim().split(/\s+/);
  let side = '';
  let minutes = '';
  while (words.length > 0) {
    const length = /^(\d{1,3})m(?:in)?$/i.exec(words[0]);
    if (side === '' && /^[DU]$/i.test(words[0])) side = words[0].toUpperCase();
    else if (minutes === '' && length !== null) minutes = length[1];
    else break;
    words.shift();
  }
  return { side, minutes, note: words.join(' ') };
}

/** Reads waypoints saved while fishing, with names such as `4f 25m D`; other waypoints are ignored. */
function gpxRows(
  bytes: Uint8Array,
  file: string,
  zone: TimeZone,
  repair: boolean,
  problems: Diagnostic[],
): Row[] {
  return readGpx(bytes, file, { repair }).waypoints.flatMap(({ name, lat, lon, time, line }) => {
    const match = DROPPED.exec(name);
    if (match === null) return [];
    if (time === undefined) {
      problems.push(says['log-value no-time']({ file, line }, name));
      return [];
    }
    const local = new Date(localReading(zone, time) * 1000).toISOString();
    const values = {
      date: local.slice(0, 10),
      time: local.slice(11, 16),
      mark: name,
      fish: match[1],
      ...parseTail(match[2]),
      lat: String(lat),
      lon: String(lon),
      file,
      line: String(line),
    };
    return [{ line, values }];
  });
}
