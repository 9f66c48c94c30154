/** What lies where in the memory of the module, in bytes; `light-room.ts` has the same figures in the same order. */

/** Blocks and rows below them that there is room for, and entries of the table of correlations. */
const MOST: usize = 48;
const MOST_BELOW: usize = 8;
const TABLE_SIZE: usize = 514;

export const TABLE: usize = 4096;
export const EASTS: usize = TABLE + 8 * TABLE_SIZE;
export const NORTHS: usize = EASTS + 8 * MOST;
export const DEPTHS: usize = NORTHS + 8 * MOST;
export const NOISES: usize = DEPTHS + 8 * MOST;
/** Columns of `MOST`. */
export const ERRORS: usize = NOISES + 8 * MOST;
export const CORRELATIONS: usize = ERRORS + 8 * MOST * MOST;
/** Columns of as many rows as there are, those below too. */
export const FACTOR: usize = CORRELATIONS + 8 * MOST * MOST;
/** 9, 3 and 1. */
export const TREND_COVARIANCE: usize = FACTOR + 8 * MOST * (MOST + MOST_BELOW);
export const COEFFICIENTS: usize = TREND_COVARIANCE + 8 * 9;
export const FALL: usize = COEFFICIENTS + 8 * 3;

/** Bytes from one column of errors and correlations to the next. */
export const COLUMN: usize = 8 * MOST;
