/**
 * Soundings as columns of equal length. The rows of a log are in the order in which they were taken.
 *
 * A row is one sounding, or the mean of `weight` neighboring soundings of a pass. Typed arrays cannot be
 * frozen, but a plugin must not change the columns: it returns new columns.
 */
export interface Soundings {
  readonly count: number;
  /** deg, WGS 84, [-90, 90]. */
  readonly lat: Float64Array;
  /** deg, WGS 84, [-180, 180]. */
  readonly lon: Float64Array;
  /** m, positive down; after the survey stage, below the water level of the plan, if levels are given. */
  readonly depth: Float32Array;
  /** Seconds since 1970-01-01 UTC, or since midnight when no date is known; NaN where the log has no time. */
  readonly time: Float64Array;
  /** Number of the pass: one run of the boat over the bottom. In a survey, no two logs share a number. */
  readonly pass: Int32Array;
  /** Number of soundings behind the row, 1 or more. */
  readonly weight: Float32Array;
  /** Minimum depth among the soundings behind the row, m, relative to the same surface as `depth`. */
  readonly shallowest: Float32Array;
  /** Water temperature, deg C; NaN where not logged; absent when no log has it. */
  readonly temperature?: Float32Array;
}

/** Typed array class of each column of soundings, by name. */
export const SOUNDING_COLUMNS = {
  lat: Float64Array,
  lon: Float64Array,
  depth: Float32Array,
  time: Float64Array,
  pass: Int32Array,
  weight: Float32Array,
  shallowest: Float32Array,
  temperature: Float32Array,
} as const satisfies Record<Exclude<keyof Soundings, 'count'>, unknown>;

/** Columns that a survey plugin may replace. */
export const SURVEY_COLUMNS = { ...SOUNDING_COLUMNS, tieError: Float32Array } as const;

export type SoundingColumn = keyof typeof SOUNDING_COLUMNS;

/** What became of the rows of a log, as counts: `read` = `used` + the sum of `dropped`. */
export interface RowAccount {
  readonly read: number;
  readonly used: number;
  /** Number of rows dropped, by the code of the diagnostic that reports the rows. */
  readonly dropped: Readonly<Record<string, number>>;
}

/** Levels from which depths can be measured. */
export type DepthReference = 'surface' | 'transducer' | 'keel';

/** Soundings of a log, or of a part of a long log, before logs are combined. */
export interface SoundingLog extends Soundings {
  /** Path as the user gave it. A file inside a log has both paths: `logs.zip/day1.csv`. */
  readonly file: string;
  /** 0-based number of the part; a long log, or a log with several files inside, has several parts. */
  readonly part: number;
  /** 1-based physical line or record in the file, by row; 0 once a plugin has reduced the log. */
  readonly line: Uint32Array;
  /** What `line` counts, as in `Place`. */
  readonly record?: string;
  /** Level that the log measures depths from; absent when not stated. */
  readonly depthFrom?: DepthReference;
}

export interface LogSummary {
  readonly file: string;
  readonly account: RowAccount;
  /** First time in the log, as in `Soundings`, s; NaN without times. */
  readonly firstTime: number;
  /** Last time in the log, as in `Soundings`, s; NaN without times. */
  readonly lastTime: number;
  /** Unit that the depths were read in; absent for other units and for a unit stated by a reader plugin. */
  readonly depthUnit?: 'm' | 'ft' | 'fm';
}

/** All soundings of a lake, usually as block means. */
export interface Survey extends Soundings {
  readonly logs: readonly LogSummary[];
  /** Index into `logs`, by row. */
  readonly log: Int32Array;
  /** Standard deviation that disagreement between passes adds to each depth, m; absent if none was found. */
  readonly tieError?: Float32Array;
}

export interface SoundingIndex {
  /** Returns the rows within `radius` m of a place (deg; any longitude), ascending. */
  within(lat: number, lon: number, radius: number): number[];
}
