/**
 * Soundings as parallel columns of equal length, in the order in which they were taken.
 *
 * A row is one sounding, or the mean of `weight` neighboring soundings of one pass. Treat the columns as
 * read-only: typed arrays cannot be frozen, so a plugin must return new columns.
 */
export interface Soundings {
  /** Number of rows. */
  readonly count: number;
  /** deg, WGS 84, [-90, 90]. */
  readonly lat: Float64Array;
  /** deg, WGS 84, [-180, 180]. */
  readonly lon: Float64Array;
  /** m, positive down; as logged until the end of the `log` stage, then below the plan's water level. */
  readonly depth: Float32Array;
  /** Seconds since 1970-01-01 UTC; NaN where the log has no time. */
  readonly time: Float64Array;
  /** Pass number; a pass is one run of the boat over the bottom. Never shared between logs. */
  readonly pass: Int32Array;
  /** Number of soundings behind the row, 1 or more. */
  readonly weight: Float32Array;
  /** Minimum depth among the soundings behind the row, m, relative to the same surface as `depth`. */
  readonly shallowest: Float32Array;
  /** Water temperature, deg C; NaN where not logged; absent when no log has it. */
  readonly temperature?: Float32Array;
}

/** Columns of soundings by name, with the typed array class of each. */
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

/** Counts of the rows of one log by what became of them; `read` = `used` + the sum of `dropped`. */
export interface RowAccount {
  readonly read: number;
  readonly used: number;
  /** Rows dropped, by reason (the code of the diagnostic that reports them). */
  readonly dropped: Readonly<Record<string, number>>;
}

/** Levels from which depths can be measured. */
export type DepthReference = 'surface' | 'transducer' | 'keel';

/** Soundings of one log, or of one part of a long log, before logs are combined. */
export interface SoundingLog extends Soundings {
  /** Path as the user gave it. */
  readonly file: string;
  /** 0-based part number, for a log too long to hold in memory at once. */
  readonly part: number;
  /** 1-based physical line (or track point) in the file, by row. */
  readonly line: Uint32Array;
  /** The level from which the log measures depths; absent when the log does not state it. */
  readonly depthFrom?: DepthReference;
}

/** What remains known of a log after it is added to the survey. */
export interface LogSummary {
  readonly file: string;
  readonly account: RowAccount;
  /** First and last time in the log, seconds since 1970-01-01 UTC; NaN without times. */
  readonly firstTime: number;
  readonly lastTime: number;
  /** Unit that the log's depths were read in; absent when unknown. */
  readonly depthUnit?: 'm' | 'ft' | 'fm';
}

/** All soundings of a lake, reduced, on one datum. */
export interface Survey extends Soundings {
  readonly logs: readonly LogSummary[];
  /** Index into `logs`, by row. */
  readonly log: Int32Array;
  /** Standard deviation of each row's depth due to disagreement between passes, m; absent when they agree. */
  readonly tieError?: Float32Array;
}

/** Finds soundings near a place; see `shared/survey/survey-index.ts`. */
export interface SoundingIndex {
  /** Rows within `radius` meters (> 0) of a place, ascending. @param lat deg. @param lon deg, any wrap. */
  within(lat: number, lon: number, radius: number): number[];
}
