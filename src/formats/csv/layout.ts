import type { DepthReference, LengthUnit } from '../../../shared/contract/index.ts';
import type { DecimalMark, PositionRules, TimeRules } from '../../../shared/text/index.ts';
import type { Column, TemperatureUnit } from './column-names.ts';
import type { ReaderOptions } from './reader-options.ts';

/** Everything needed to read a line of a log, as found from the header, the first rows and the options. */
export interface Layout extends Pick<ReaderOptions, 'datum' | 'zeroIsValid' | 'maxDepth'> {
  readonly delimiter: string;
  readonly decimal: DecimalMark;
  readonly columns: readonly Column[];
  readonly at: ColumnPlaces;
  /** Unit of depths written without a unit; undefined when every row must state its own unit. */
  readonly depthUnit: LengthUnit | undefined;
  readonly vertical: 'down' | 'up';
  readonly depthFrom: DepthReference | undefined;
  readonly temperatureUnit: TemperatureUnit | undefined;
  readonly position: PositionRules;
  readonly time: TimeRules;
  /** Indexes of the columns in which the log marks rows that must not be used. */
  readonly validity: readonly number[];
  /** Value that a row must have in the channel column. */
  readonly channel?: string;
  /** Values that mean no depth or no position. */
  readonly sentinels: ReadonlySet<number>;
  /** Latest time accepted, s since 1970. */
  readonly latest: number;
}

/** Index of the column of each quantity; -1 for a quantity that the log does not have. */
export type ColumnPlaces = Readonly<
  Record<
    'lat' | 'lon' | 'depth' | 'time' | 'date' | 'temperature' | 'unit' | 'ns' | 'ew' | 'datum' | 'channel',
    number
  >
>;

/** Earliest time accepted, 1990-01-01, s since 1970; judgment. A clock after a reset may be earlier. */
const EARLIEST_TIME = 631_152_000;
/** Latest time accepted if the current time is not known, 2100-01-01, s since 1970; judgment. */
const LAST_TIME = 4_102_444_800;

/** Returns the latest time accepted, s since 1970: a day after `now`, or LAST_TIME if `now` is absent. */
export const latestTime = ({ now }: { readonly now?: number }): number =>
  now === undefined ? LAST_TIME : now + 86_400;

/** Returns whether a log can hold a time. @param time s since 1970. @param latest From `latestTime`. */
export const isLogTime = (time: number, latest: number): boolean => time >= EARLIEST_TIME && time <= latest;

/** Two days from 2000-01-01 on, s since 1970. Many clocks restart there after a reset. */
export const RESET_2000: readonly [from: number, to: number] = [946_684_800, 946_857_600];

/** Values that mean "none" in many kinds of logs; common practice, no source. */
export const DEFAULT_SENTINELS: readonly number[] = [
  -1, -9999, 9999, 9999.9, -9999.9, 65535, -32768, 4294967295,
];
