import {
  type CsvFile,
  type Diagnostic,
  type LengthUnit,
  type OptionDefinition,
  toMeters,
} from '../contract/index.ts';
import { levelsEmpty, levelUnreadable } from '../text/index.ts';
import { hasDay } from './days.ts';

/** Dated readings of the water level, in order of time. */
export interface Levels {
  /** Seconds since 1970-01-01 UTC. */
  readonly time: readonly number[];
  /** m above any datum that all readings share. */
  readonly level: readonly number[];
}

/** A level at a time, and how far that time lies outside the readings. */
export interface LevelAt {
  readonly level: number;
  /** Days before the first or after the last reading; 0 between readings. */
  readonly outside: number;
}

const TIME_COLUMNS = ['time', 'date', 'datetime', 'day'];
const LEVEL_COLUMNS: Readonly<Record<string, LengthUnit>> = {
  level_m: 'm',
  level_ft: 'ft',
  level_cm: 'cm',
  water_level_m: 'm',
  water_level_ft: 'ft',
  stage_m: 'm',
  stage_ft: 'ft',
  elevation_m: 'm',
  elevation_ft: 'ft',
  pool_ft: 'ft',
  pool_m: 'm',
};
const UNITS: readonly LengthUnit[] = ['m', 'ft', 'cm', 'yd', 'fm'];
const DAY = 86400;

/**
 * Level readings from a CSV file of `time` (or `date`) and `level_m` or `level_ft` (or `level` and `unit`).
 *
 * Times are ISO 8601, UTC unless they give a zone; a date alone means noon. Any datum will do if it is the
 * same for all readings. Rows may be in any order; readings at the same time are averaged.
 */
export function readLevels(file: CsvFile): { levels: Levels; problems: readonly Diagnostic[] } {
  const timeColumn = TIME_COLUMNS.find((name) => file.header.includes(name));
  const levelColumn = Object.keys(LEVEL_COLUMNS).find((name) => file.header.includes(name));
  const isPlain = file.header.includes('level') && file.header.includes('unit');
  const problems: Diagnostic[] = [];
  const place = (line: number) => ({ file: file.file, line });
  const wrong = (line: number, text: string, expected: string) =>
    problems.push({ ...levelUnreadable(line, text, expected), place: place(line) });
  if (timeColumn === undefined || (levelColumn === undefined && !isPlain)) {
    wrong(1, file.header.join(','), 'a header with time and level_m or level_ft');
    return { levels: { time: [], level: [] }, problems };
  }
  const readings: { time: number; level: number }[] = [];
  for (const { line, values } of file.rows) {
    const time = parseReadingTime(values[timeColumn]);
    const text = values[levelColumn ?? 'level'];
    const level = parseLevel(text);
    const unit =
      levelColumn === undefined
        ? UNITS.find((u) => u === values.unit.toLowerCase())
        : LEVEL_COLUMNS[levelColumn];
    if (Number.isNaN(time))
      wrong(line, values[timeColumn], 'a day or time such as 2024-05-01 or 2024-05-01T07:00Z');
    else if (Number.isNaN(level)) wrong(line, text, 'a level as a plain number');
    else if (unit === undefined) wrong(line, values.unit, 'a unit m, ft or cm');
    else readings.push({ time, level: toMeters(level, unit) });
  }
  if (readings.length === 0 && problems.length === 0) problems.push({ ...levelsEmpty(), place: place(1) });
  readings.sort((a, b) => a.time - b.time);
  const times = [...new Set(readings.map((reading) => reading.time))];
  const level = times.map((time) => {
    const same = readings.filter((reading) => reading.time === time);
    return same.reduce((sum, reading) => sum + reading.level, 0) / same.length;
  });
  return { levels: { time: times, level }, problems };
}

/** Level at a time: linear between readings, the nearest reading outside them. */
export function levelAt(levels: Levels, time: number): LevelAt {
  const { time: times, level } = levels;
  const last = times.length - 1;
  if (time <= times[0]) return { level: level[0], outside: (times[0] - time) / DAY };
  if (time >= times[last]) return { level: level[last], outside: (time - times[last]) / DAY };
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (times[middle] <= time) low = middle;
    else high = middle;
  }
  const share = (time - times[low]) / (times[high] - times[low]);
  return { level: level[low] + share * (level[high] - level[low]), outside: 0 };
}

const READING_TIME =
  /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2})(?:\.\d{1,9})?)?\s*(Z|[+-]\d{2}:?\d{2})?)?$/;

/** Seconds since 1970 of an ISO time or day; NaN for any other text. */
export function parseReadingTime(text: string): number {
  const match = READING_TIME.exec(text.trim());
  if (match === null) return Number.NaN;
  const [year, month, day, hour = 12, minute = 0, second = 0] = match
    .slice(1, 7)
    .map((part) => part && digits(part)) as number[];
  const at = Date.UTC(
    year,
    month - 1,
    day,
    hour || (match[4] === undefined ? 12 : 0),
    minute || 0,
    second || 0,
  );
  // `Date.UTC` rolls a day that does not exist over into the next month; that is refused here.
  if (new Date(at).getUTCDate() !== day || month < 1 || month > 12 || hour > 23 || minute > 59 || second > 59)
    return Number.NaN;
  const zone = /^([+-])(\d{2}):?(\d{2})$/.exec(match[7] ?? '');
  const offset = zone === null ? 0 : (zone[1] === '-' ? -60 : 60) * (digits(zone[2]) * 60 + digits(zone[3]));
  return at / 1000 - offset;
}

function parseLevel(text: string): number {
  const match = /^([+-])?(\d+)(?:\.(\d*))?$/.exec(text.trim());
  if (match === null || text.length > 20) return Number.NaN;
  const fraction = match[3] ?? '';
  const value = digits(match[2]) + (fraction === '' ? 0 : digits(fraction) / 10 ** fraction.length);
  return match[1] === '-' ? -value : value;
}

/** Whole number from a text of digits. */
function digits(text: string): number {
  let value = 0;
  for (let i = 0; i < text.length; i++) value = value * 10 + text.charCodeAt(i) - 48;
  return value;
}

/** Level at the time of a log or a mark; undefined without a date. */
export const levelThen = (levels: Levels, time: number): LevelAt | undefined =>
  hasDay(time) ? levelAt(levels, time) : undefined;

export const levelsOption = {
  kind: 'file',
  format: 'csv',
  flag: 'levels',
  check: (file: CsvFile) => readLevels(file).problems,
  help: 'Dated readings of the water level, CSV with time and level_m or level_ft, above any one datum.',
} as const satisfies OptionDefinition;

/**
 * Correction that brings a depth read at some time to the water level of the plan, m to add, with its
 * standard deviation, m.
 *
 * Without readings, all depths count as read at level 0 of the datum, as soundings do.
 *
 * @param time Seconds since 1970; absent when unknown: the mean of all readings is used then, and their
 *   spread is the uncertainty.
 */
export function levelChange(
  time: number | undefined,
  {
    levels: file,
    today,
    date,
  }: { readonly levels?: CsvFile; readonly today?: number; readonly date: string },
): { change: number; sd: number } {
  const levels = file && readLevels(file).levels;
  if (levels === undefined || levels.time.length === 0) return { change: today ?? 0, sd: 0 };
  const now = today ?? levelAt(levels, parseReadingTime(date)).level;
  const then = levelThen(levels, time ?? Number.NaN);
  if (then !== undefined) return { change: now - then.level, sd: 0 };
  const mean = levels.level.reduce((sum, level) => sum + level, 0) / levels.level.length;
  const square = levels.level.reduce((sum, level) => sum + (level - mean) ** 2, 0) / levels.level.length;
  return { change: now - mean, sd: Math.sqrt(square) };
}
