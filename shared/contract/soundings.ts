/**
 * Soundings as parallel columns of equal length, in the order they were taken.
 *
 * A row is one sounding, or the mean of `weight` soundings next to each other on one pass.
 * Read-only by agreement: typed arrays cannot be frozen, so a plugin returns new columns.
 */
export interface Soundings {
  /** Rows in every column. */
  readonly count: number;
  /** deg, WGS 84, [-90, 90]. */
  readonly lat: Float64Array;
  /** deg, WGS 84, [-180, 180]. */
  readonly lon: Float64Array;
  /** m, positive down; as logged in the `log` stage, from the plan's water surface after it. */
  readonly depth: Float32Array;
  /** Seconds since 1970-01-01 UTC; NaN where the log has no time. */
  readonly time: Float64Array;
  /** Pass number: one run of the boat over the bottom; never shared between logs. */
  readonly pass: Int32Array;
  /** Soundings behind the row, 1 or more. */
  readonly weight: Float32Array;
  /** Least depth among the soundings behind the row, m, same zero as `depth`. */
  readonly shallowest: Float32Array;
  /** Water temperature, deg C; NaN where not logged; absent when no log has it. */
  readonly temperature?: Float32Array;
}

/** Columns of soundings by name, with the typed array that each is held in. */
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

/** Columns that a survey plugin may give. */
export const SURVEY_COLUMNS = { ...SOUNDING_COLUMNS, doubt: Float32Array } as const;

export type SoundingColumn = keyof typeof SOUNDING_COLUMNS;

/** Rows of one log by what became of them; `read` = `used` + the sum of `dropped`. */
export interface RowAccount {
  readonly read: number;
  readonly used: number;
  /** Rows dropped, by reason (the code of the diagnostic that reports it). */
  readonly dropped: Readonly<Record<string, number>>;
}

/** Soundings of one log, or of one part of a long log, before logs are put together. */
export interface SoundingLog extends Soundings {
  /** Path as the user gave it. */
  readonly file: string;
  /** 0-based part of a log too long to hold at once. */
  readonly part: number;
  /** 1-based physical line (or track point) of each row in its file. */
  readonly line: Uint32Array;
}

/** What is known of a log after it joined the survey. */
export interface LogSummary {
  readonly file: string;
  readonly account: RowAccount;
  /** Seconds since 1970-01-01 UTC; NaN without times. */
  readonly firstTime: number;
  readonly lastTime: number;
  /** Unit that its depths were read in; absent when unknown. */
  readonly depthUnit?: 'm' | 'ft' | 'fm';
}

/** All soundings of a lake, reduced, on one datum. */
export interface Survey extends Soundings {
  readonly logs: readonly LogSummary[];
  /** Index into `logs` of each row. */
  readonly log: Int32Array;
  /** Standard deviation of each row's depth that passes leave by disagreeing, m; absent where they agree. */
  readonly doubt?: Float32Array;
}

/** Means of the soundings in square cells, whatever pass they come from. Nothing is copied for those near a place. */
export interface CellMeans {
  /**
   * Cells near the place, from south to north, in runs from west to east: `[from, to)` of each, one behind the other.
   */
  readonly runs: readonly number[];
  /** All cells of the lake, each as the `CELL_WIDTH` numbers of `CELL`. */
  readonly cells: Float64Array;
}

/** Where the numbers of a cell stand in its record. */
export const CELL = {
  /** Number of its row from the equator, and in its row: neighbors differ by 1. */
  north: 0,
  east: 1,
  /** deg; mean place. */
  lat: 2,
  lon: 3,
  /** m, positive down; mean. */
  depth: 4,
  /** Soundings; none in a cell that is empty, of which nothing else counts. */
  weight: 5,
  /** m of track. */
  track: 6,
  /** Sum of second differences of depth along the passes, for one sounding, m, and how many there are. */
  difference: 7,
  differences: 8,
} as const;
export const CELL_WIDTH = 9;

/** Finds soundings near a place; see `shared/survey-index.ts`. */
export interface SoundingIndex {
  /**
   * Rows within `radius` meters of a place, ascending.
   *
   * @param lat deg. @param lon deg, any wrap. @param radius m, > 0.
   */
  within(lat: number, lon: number, radius: number): number[];
  /**
   * Means over square cells near a place, where passes are so close that they add nothing one by one.
   *
   * @returns undefined where passes do not crowd, or where the index has no cells: use `within` there.
   */
  crowded?(lat: number, lon: number, radius: number): CellMeans | undefined;
}
