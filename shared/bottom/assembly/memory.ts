/** What lies where in the memory of the module, in bytes; `light-memory.ts` has the same figures in the same order. */

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

/** Cells and blocks that there is room for. */
const MOST_CELLS: usize = 1024;

/** Records of cells as in `CELL`. */
export const CELLS: usize = FALL + 8;
export const CELL_BYTES: usize = 8 * 9;
/** Of blocks: sums, then means. */
export const BLOCK_EASTS: usize = CELLS + CELL_BYTES * MOST_CELLS;
export const BLOCK_NORTHS: usize = BLOCK_EASTS + 8 * MOST_CELLS;
export const BLOCK_DEPTHS: usize = BLOCK_NORTHS + 8 * MOST_CELLS;
export const BLOCK_WEIGHTS: usize = BLOCK_DEPTHS + 8 * MOST_CELLS;
export const BLOCK_NOISES: usize = BLOCK_WEIGHTS + 8 * MOST_CELLS;
/** Number of second differences of each block; what is said of all. */
export const DIFFERENCES: usize = BLOCK_NOISES + 8 * MOST_CELLS;
/** Key of each block, and a table of the blocks by key: their number and 1. */
export const KEYS: usize = DIFFERENCES + 8 * MOST_CELLS;
export const SLOTS: usize = KEYS + 4 * MOST_CELLS;
export const SLOT_COUNT: i32 = 2048;
