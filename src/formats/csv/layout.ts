import type { DepthReference, LengthUnit } from '../../../shared/contract/index.ts';
import type { DecimalMark, PositionRules, TimeRules } from '../../../shared/text/index.ts';
import type { Column, TemperatureUnit } from './column-names.ts';
import type { ReaderOptions } from './reader-options.ts';

/** Everything needed to read one line of a log, from the header, the first rows and the options. */
export interface Layout extends Pick<ReaderOptions, 'datum' | 'zeroIsValid' | 'maxDepth'> {
  readonly delimiter: string;
  readonly decimal: DecimalMark;
  readonly columns: readonly Column[];
  /** Column of each quantity; -1 where the log has none. */
  readonly at: ColumnPlaces;
  /** Unit of depths that do not state one; undefined when every row must state its own. */
  readonly depthUnit: LengthUnit | undefined;
  readonly vertical: 'down' | 'up';
  readonly depthFrom: DepthReference | undefined;
  readonly temperatureUnit: TemperatureUnit | undefined;
  readonly position: PositionRules;
  readonly time: TimeRules;
  /** Columns in which the log marks rows that must not be used. */
  readonly validity: readonly number[];
  /** Value that the channel column must hold. */
  readonly channel?: string;
  /** Values that mean no depth or no position. */
  readonly sentinels: ReadonlySet<number>;
  /** Seconds since 1970; later times are rejected. */
  readonly latest: number;
}

/** Index of each column, -1 for none. */
export type ColumnPlaces = Readonly<
  Record<
    'lat' | 'lon' | 'depth' | 'time' | 'date' | 'temperature' | 'unit' | 'ns' | 'ew' | 'datum' | 'channel',
    number
  >
>;

/** Earliest time accepted, 1990-01-01, s since 1970. An earlier time comes from a clock that was reset. */
const EARLIEST_TIME = 631_152_000;
/** Latest time accepted where the time of reading is not known, 2100-01-01, s since 1970. */
const LAST_TIME = 4_102_444_800;

/** Latest time accepted, s since 1970: a day after `now`, or the end of 2099 when `now` is not known. */
export const latestTime = ({ now }: { readonly now?: number }): number =>
  now === undefined ? LAST_TIME : now + 86_400;

/** Whether a log can hold this time, s since 1970. @param latest From `latestTime`. */
export const isLogTime = (time: number, latest: number): boolean => time >= EARLIEST_TIME && time <= latest;

/** From 2000-01-01 up to, but not including, 2000-01-03, s since 1970: many clocks restart there after a reset. */
export const RESET_2000: readonly [from: number, to: number] = [946_684_800, 946_857_600];

/** Values that mean "none" in many kinds of logs. */
export const DEFAULT_SENTINELS: readonly number[] = [
  -1, -9999, 9999, 9999.9, -9999.9, 65535, -32768, 4294967295,
];
