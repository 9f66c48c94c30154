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

/** Rows of one log by what became of them; `read` = `used` + the sum of `dropped`. */
export interface RowAccount {
  readonly read: number;
  readonly used: number;
  /** Rows dropped, by reason (the code of the diagnostic that reports it). */
  readonly dropped: Readonly<Record<string, number>>;
}

/** Soundings of one log, or of one part of a long log, before logs are put together. */
export interface SoundingLog extends Soundings {
  /** Path as the person gave it. */
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
}

/** All soundings of a lake, reduced, on one datum. */
export interface Survey extends Soundings {
  readonly logs: readonly LogSummary[];
  /** Index into `logs` of each row. */
  readonly log: Int32Array;
}

/**
 * Means of the soundings in square cells, whatever pass they come from; columns of equal length.
 *
 * The columns hold all cells of the lake: nothing is copied for those near a place.
 */
export interface CellMeans {
  /** Cells near the place, as numbers in the columns, from south to north and west to east; none is empty. */
  readonly near: Int32Array;
  /** Side of a cell, m. */
  readonly side: number;
  /** Number of the cell in its row and of its row: neighbors differ by 1. */
  readonly north: Int32Array;
  readonly east: Int32Array;
  /** deg; mean places. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  /** m, positive down; mean. */
  readonly depth: Float64Array;
  /** Soundings. */
  readonly weight: Float64Array;
  /** m of track. */
  readonly track: Float64Array;
  /** Sum of second differences of depth along the passes, for one sounding, m, and how many there are. */
  readonly difference: Float64Array;
  readonly differences: Float64Array;
}

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
