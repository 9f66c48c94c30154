import { bisectRight, rollups } from 'd3-array';
import { mean } from 'es-toolkit/math';
import {
  type CsvFile,
  type Diagnostic,
  type LengthUnit,
  type OptionDefinition,
  toMeters,
} from '../contract/index.ts';
import { parseNumber, parseTime, soundingPluginMessages as says, UTC } from '../text/index.ts';
import { hasDay } from './days.ts';

/** Dated readings of the water level, in order of time. */
export interface Levels {
  /** Seconds since 1970-01-01 UTC. */
  readonly time: readonly number[];
  /** m above a datum that all readings share. */
  readonly level: readonly number[];
}

export interface LevelAt {
  /** m above the datum of the readings. */
  readonly level: number;
  /** Days before the first or after the last reading; 0 between readings. */
  readonly outside: number;
}

const TIME_COLUMNS = ['time', 'date', 'datetime', 'day'];
const LEVEL_COLUMNS = new Map(
  ['level', 'water_level', 'stage', 'elevation', 'pool'].flatMap((name) =>
    (['m', 'ft', 'cm'] as const).map((unit) => [`${name}_${unit}`, unit]),
  ),
);
const UNITS: readonly LengthUnit[] = ['m', 'ft', 'cm', 'yd', 'fm'];
const DAY = 86400;

/**
 * Reads levels from a CSV file, for example with columns `time` and `level_m`, or `date`, `level` and `unit`.
 *
 * Times are ISO 8601, UTC unless they give a zone; a date alone means noon. All readings must refer to the
 * same datum, no matter which. Rows may be in any order; readings at the same time are averaged.
 */
export function readLevels(file: CsvFile): { levels: Levels; problems: readonly Diagnostic[] } {
  const timeColumn = TIME_COLUMNS.find((name) => file.header.includes(name));
  const levelColumn =
    [...LEVEL_COLUMNS.keys()].find((name) => file.header.includes(name)) ??
    (file.header.includes('unit') ? file.header.find((name) => name === 'level') : undefined);
  const problems: Diagnostic[] = [];
  const place = (line: number) => ({ file: file.file, line });
  const wrong = (line: number, text: string, expected: string) =>
    problems.push(says.levels(place(line), text, expected));
  if (timeColumn === undefined || levelColumn === undefined) {
    wrong(1, file.header.join(','), 'a header with the columns time and level_m or level_ft');
    return { levels: { time: [], level: [] }, problems };
  }
  const readings: { time: number; level: number }[] = [];
  for (const { line, values } of file.rows) {
    const time = parseReadingTime(values[timeColumn]);
    const text = values[levelColumn];
    const level = parseNumber(text.trim());
    const unit = LEVEL_COLUMNS.get(levelColumn) ?? UNITS.find((u) => u === values.unit.toLowerCase());
    if (Number.isNaN(time))
      wrong(line, values[timeColumn], 'a day or time such as 2024-05-01 or 2024-05-01T07:00Z');
    else if (Number.isNaN(level)) wrong(line, text, 'a level written as a plain number');
    else if (unit === undefined) wrong(line, values.unit, 'a unit (m, ft or cm)');
    else readings.push({ time, level: toMeters(level, unit) });
  }
  if (readings.length === 0 && problems.length === 0) problems.push(says['levels empty'](place(1)));
  const levels = rollups(
    readings,
    (same) => mean(same.map(({ level }) => level)),
    ({ time }) => time,
  ).sort(([a], [b]) => a - b);
  return {
    levels: { time: levels.map(([time]) => time), level: levels.map(([, level]) => level) },
    problems,
  };
}

/** Interpolates the level at a time, s since 1970. Beyond the readings, the nearest reading applies. */
export function levelAt(levels: Levels, time: number): LevelAt {
  const { time: times, level } = levels;
  const last = times.length - 1;
  if (time <= times[0]) return { level: level[0], outside: (times[0] - time) / DAY };
  if (time >= times[last]) return { level: level[last], outside: (time - times[last]) / DAY };
  const high = bisectRight(times, time);
  const low = high - 1;
  const share = (time - times[low]) / (times[high] - times[low]);
  return { level: level[low] + share * (level[high] - level[low]), outside: 0 };
}

/** Parses a date, with or without a time, as s since 1970; NaN for other text. UTC if no zone is given. */
export function parseReadingTime(text: string): number {
  const time = parseTime(text.trim(), { zone: UTC, spreadsheetDays: false });
  return 'seconds' in time && ['zoned', 'local', 'date'].includes(time.form) ? time.seconds : Number.NaN;
}

/** Returns the level at a time, s since 1970; undefined for a time without a date. */
export const levelThen = (levels: Levels, time: number): LevelAt | undefined =>
  hasDay(time) ? levelAt(levels, time) : undefined;

export const levelsOption = {
  kind: 'file',
  format: 'csv',
  flag: 'levels',
  check: (file: CsvFile) => readLevels(file).problems,
  help: 'CSV file of dated water levels, all from the same zero, with columns time and level_m or level_ft.',
} as const satisfies OptionDefinition;

/**
 * Returns the correction to add to a depth, m: level of the plan minus level when the depth was read.
 *
 * The level of the plan is `today`, m, or otherwise the reading interpolated at `date`. Without readings, the
 * depth counts as read at level 0.
 *
 * @param time Time at which the depth was read, s since 1970. Without a date, the depth counts as read at the
 *   mean level of all readings.
 * @returns `sd`, m: standard deviation of the readings for a depth without a date, otherwise 0.
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
  const middle = mean(levels.level);
  const square = mean(levels.level.map((level) => (level - middle) ** 2));
  return { change: now - middle, sd: Math.sqrt(square) };
}
