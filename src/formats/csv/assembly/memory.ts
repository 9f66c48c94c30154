/**
 * What lies where in the memory of the module, in bytes; `wasm-scanner.ts` has the same figures.
 *
 * What each field of a line is; powers of ten; the person's own values for "none"; lines; rows, column by column.
 */
export const KINDS: usize = 1024;
export const POWERS: usize = 2048;
export const SENTINELS: usize = 3072;
export const TEXT: usize = 8192;
/** Bytes of lines at once, and rows that they can hold at most, 6 bytes each. */
export const TEXT_BYTES: usize = 65536;
const MOST_ROWS: usize = 10928;

/** After the lines as many bytes as one look ahead may read. */
export const LATS: usize = TEXT + TEXT_BYTES + 64;
export const LONS: usize = LATS + 8 * MOST_ROWS;
export const TIMES: usize = LONS + 8 * MOST_ROWS;
export const DEPTHS: usize = TIMES + 8 * MOST_ROWS;
export const TEMPERATURES: usize = DEPTHS + 4 * MOST_ROWS;
export const LINES: usize = TEMPERATURES + 4 * MOST_ROWS;

/** 10 to the power of 0 to 15, exact. */
export function power(digits: i32): f64 {
  return load<f64>(POWERS + ((<usize>digits) << 3));
}

/** The byte at a place. */
export function byteAt(place: usize): i32 {
  return <i32>load<u8>(place);
}

export function isDigit(byte: i32): bool {
  return <u32>(byte - 48) < 10;
}
