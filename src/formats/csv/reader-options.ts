import {
  defaultsOf,
  type OptionDefinitions,
  type OptionValues,
  switchOption,
} from '../../../shared/contract/index.ts';
import { parseNumber } from '../../../shared/text/index.ts';
import type { Fixes } from './fixes.ts';

/** Options for reading sounding logs. Flags, help and checks are generated from this table. */
export const readerOptions = {
  depthUnit: {
    kind: 'choice',
    choices: ['m', 'ft', 'fm', 'cm', 'yd'],
    flag: 'depth-unit',
    help: 'Unit of depths in logs that do not state one.',
  },
  columns: {
    kind: 'list',
    flag: 'columns',
    help: 'Columns of a log without a header, in their order, such as lat,lon,depth_ft,-,time; also date, temperature and unit. A - stands for a column to ignore.',
  },
  map: {
    kind: 'list',
    flag: 'map',
    help: 'Columns whose names are not recognized: depth=Tiefe,lat=Breite,lon=Laenge,time=Zeit.',
  },
  tz: {
    kind: 'text',
    flag: 'tz',
    pattern: /UTC|Z|[+-]\d{2}:?\d{2}|[A-Za-z_]+(?:\/[A-Za-z0-9_+-]+)*/,
    expected: 'UTC, an offset such as -05:00, or a zone name such as Europe/Oslo',
    help: 'Time zone of log times that state none, and of your clock in a plan. Without it, times in sonar logs are read as UTC.',
  },
  dateOrder: {
    kind: 'choice',
    choices: ['dmy', 'mdy', 'ymd'],
    flag: 'date-order',
    help: 'Order of day, month and year in dates such as 01/02/2024.',
  },
  vertical: {
    kind: 'choice',
    choices: ['down', 'up'],
    flag: 'vertical',
    help: 'Sign of the depths: down (depths are positive) or up (0 is the water surface, and depths are negative).',
  },
  positionFormat: {
    kind: 'choice',
    choices: ['degrees', 'packed-minutes'],
    flag: 'position-format',
    help: 'Form of plain-number positions: degrees (59.5) or packed-minutes (5930.0, degrees and minutes run together).',
  },
  positionScale: {
    kind: 'number',
    flag: 'position-scale',
    min: 0,
    exclusiveMin: true,
    help: 'Number that positions are divided by to give degrees: 10000000 for degrees times ten million, 11930464.7111 for 32-bit semicircles.',
  },
  spreadsheetDays: switchOption(
    'spreadsheet-days',
    'Times are spreadsheet day numbers (days since 1899-12-30).',
  ),
  datum: {
    kind: 'text',
    flag: 'datum',
    help: 'Horizontal datum, as named in the log, to be treated as WGS 84.',
  },
  crs: {
    kind: 'text',
    flag: 'crs',
    pattern: /EPSG:\d{4,6}/i,
    expected: 'an EPSG number such as EPSG:32633',
    help: 'Map grid of positions that are not in degrees, by EPSG number: EPSG:32633 is UTM zone 33 north.',
  },
  channel: {
    kind: 'text',
    flag: 'channel',
    pattern: /[^=,]+=[^=,]+/,
    expected: 'a column and its value such as frequency=200',
    help: 'Keep only rows that have this value in this column, such as frequency=200.',
  },
  sentinels: {
    kind: 'list',
    flag: 'sentinels',
    isValid: (text) => !Number.isNaN(parseNumber(text)),
    expected: 'a number such as 655.35',
    default: [],
    help: 'Additional values that mean no depth or no position, such as 655.35,99.9.',
  },
  eleIsDepth: switchOption('ele-is-depth', 'Elevations of GPX track points are depths with a minus sign.'),
  zeroIsValid: switchOption('zero-is-valid', 'Depths of exactly 0 are real, not lost bottom.'),
  maxDepth: {
    kind: 'length',
    flag: 'max-depth',
    min: 0,
    exclusiveMin: true,
    max: 12000,
    default: 500,
    help: 'Depths beyond this are dropped.',
  },
  keepLast: switchOption(
    'keep-last',
    'Use the last line of a log even without a line end, although it may be cut short.',
  ),
  clockOffset: {
    kind: 'seconds',
    flag: 'clock-offset',
    min: -93600,
    max: 93600,
    help: 'Seconds to add to the times of a log before its depths are placed on --tracks. Without this option, they are estimated from places that the boat passed twice.',
  },
  maxDropped: {
    kind: 'number',
    flag: 'max-dropped',
    min: 0,
    max: 1,
    default: 0.2,
    help: 'Largest share of rows, 0 to 1, that may be unreadable before a log is refused.',
  },
  explain: switchOption('explain', 'List the line and reason for every dropped row.'),
} as const satisfies OptionDefinitions;

/** Settings of a reader: the user's options, and values from the run. */
export type ReaderOptions = OptionValues<typeof readerOptions> & {
  /** Fixes from `--tracks`, used to place soundings without positions. */
  readonly fixes?: Fixes;
  /** Current time, s since 1970; see `latestTime`. */
  readonly now?: number;
  /** Called at intervals with the number of bytes read so far and the size of the log. */
  readonly progress?: (bytes: number, ofBytes: number) => void;
};

/** Returns all options, with their defaults or undefined. @param changes Values to use instead. */
export const defaultReaderOptions = (changes: Partial<ReaderOptions> = {}): ReaderOptions => ({
  ...Object.fromEntries(Object.keys(readerOptions).map((name) => [name, undefined])),
  ...defaultsOf(readerOptions),
  ...changes,
});
