/**
 * What lies where in the memory of the module, in bytes; `track-module.ts` has the same figures.
 *
 * A stretch of rows in, column by column, and what is found out for each row.
 */
export const MOST_ROWS: usize = 4096;

export const LATS: usize = 4096;
export const LONS: usize = LATS + 8 * MOST_ROWS;
export const TIMES: usize = LONS + 8 * MOST_ROWS;
export const DEPTHS: usize = TIMES + 8 * MOST_ROWS;
export const SHALLOWEST: usize = DEPTHS + 4 * MOST_ROWS;
export const WEIGHTS: usize = SHALLOWEST + 4 * MOST_ROWS;
export const TEMPERATURES: usize = WEIGHTS + 4 * MOST_ROWS;
export const PASSES: usize = TEMPERATURES + 4 * MOST_ROWS;

/** Way along the log; whether the log breaks off before a row; rows at which it does or steps; stretches of equal depth. */
export const WAYS: usize = PASSES + 4 * MOST_ROWS;
export const BREAKS: usize = WAYS + 8 * MOST_ROWS;
export const EDGES: usize = BREAKS + MOST_ROWS;
export const EQUALS: usize = EDGES + 4 * MOST_ROWS;

/** Blocks that are ready: as many as rows, and those that were open. */
export const MOST_BLOCKS: usize = MOST_ROWS + 32;
export const BLOCK_LATS: usize = EQUALS + 8 * MOST_ROWS;
export const BLOCK_LONS: usize = BLOCK_LATS + 8 * MOST_BLOCKS;
export const BLOCK_TIMES: usize = BLOCK_LONS + 8 * MOST_BLOCKS;
export const BLOCK_DEPTHS: usize = BLOCK_TIMES + 8 * MOST_BLOCKS;
export const BLOCK_WEIGHTS: usize = BLOCK_DEPTHS + 4 * MOST_BLOCKS;
export const BLOCK_SHALLOWEST: usize = BLOCK_WEIGHTS + 4 * MOST_BLOCKS;
export const BLOCK_TEMPERATURES: usize = BLOCK_SHALLOWEST + 4 * MOST_BLOCKS;
export const BLOCK_PASSES: usize = BLOCK_TEMPERATURES + 4 * MOST_BLOCKS;

/** Blocks that rows may still join, one after another in turn. */
export const OPEN_BLOCKS: usize = BLOCK_PASSES + 4 * MOST_BLOCKS;

/** Where the pieces of each bucket of cells begin, and pieces of passes, as many as there are; beyond all of the above. */
export const STARTS: usize = 1 << 20;
export const PIECES: usize = STARTS + (1 << 18);

export function latOf(row: usize): f64 {
  return load<f64>(LATS + (row << 3));
}

export function lonOf(row: usize): f64 {
  return load<f64>(LONS + (row << 3));
}

export function timeOf(row: usize): f64 {
  return load<f64>(TIMES + (row << 3));
}

export function depthOf(row: usize): f32 {
  return load<f32>(DEPTHS + (row << 2));
}

export function passOf(row: usize): i32 {
  return load<i32>(PASSES + (row << 2));
}
