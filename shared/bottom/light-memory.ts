import { CELL_WIDTH } from '../contract/soundings.ts';
import { matern52 } from './kernel.ts';

/** Blocks that a light fit takes at most, and rows that may stand below them; as in `assembly/memory.ts`. */
export const MOST_LIGHT = 48;
const MOST_BELOW = 8;
/** Cells, and blocks that they make, that there is room for. */
export const MOST_CELLS = 1024;
/** Bytes before the first column: what WebAssembly keeps for itself. */
const START = 4096;

export const SMOOTH = matern52();

/** How the bottom varies: Matern 5/2 of `sill` m^2 over `range` m, `ratio` times as far along (cos, sin). */
export interface LightVariation {
  readonly range: number;
  readonly sill: number;
  /** 1 or more: range along the direction over range across it. */
  readonly ratio: number;
  /** Direction of the longer range: east and north parts of a unit vector. */
  readonly cos: number;
  readonly sin: number;
  /** Factor on the noise variance of every block: rough ground and careless positions look like noise. */
  readonly noise: number;
}

/** Memory that a light fit works in. */
export interface LightMemory {
  /** Of the blocks: m; depth less that of the first. */
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly depth: Float64Array;
  /** Variance of a block's own noise, m^2. */
  readonly noise: Float64Array;
  /** Covariance of the errors, m^2, and correlation of the bottom: lower triangles, in columns of `MOST_LIGHT`. */
  readonly errors: Float64Array;
  readonly correlation: Float64Array;
  /**
   * Cholesky factor of the covariance; below it the columns of the trend, the depths and what else is to be solved with it.
   *
   * In columns: those of the blocks, their number made up to a multiple of 4, with `heightOf` rows each.
   */
  readonly factor: Float64Array;
  /** Covariance of the trend's coefficients, 3 x 3 row-major, and the coefficients. */
  readonly trendCovariance: Float64Array;
  readonly coefficients: Float64Array;
  /** One number: squared residuals over their covariance, about the number of blocks less 3 where the way of varying is right. */
  readonly fall: Float64Array;
}

/** Records of cells in, and blocks out; see `CellMeans` and `Blocks`. */
export interface BlockMemory {
  readonly cells: Float64Array;
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly depth: Float64Array;
  readonly weight: Float64Array;
  readonly noise: Float64Array;
}

/** The columns of the memory, one behind the other. */
export function memoryIn(buffer: ArrayBuffer): LightMemory {
  const take = columnsIn(buffer, START);
  // In the order in which they lie.
  take(SMOOTH.value.length).set(SMOOTH.value);
  return {
    east: take(MOST_LIGHT),
    north: take(MOST_LIGHT),
    depth: take(MOST_LIGHT),
    noise: take(MOST_LIGHT),
    errors: take(MOST_LIGHT * MOST_LIGHT),
    correlation: take(MOST_LIGHT * MOST_LIGHT),
    factor: take(MOST_LIGHT * (MOST_LIGHT + MOST_BELOW)),
    trendCovariance: take(9),
    coefficients: take(3),
    fall: take(1),
  };
}

/** The columns behind those. */
export function blockMemoryIn(buffer: ArrayBuffer): BlockMemory {
  const { fall } = memoryIn(buffer);
  const take = columnsIn(buffer, fall.byteOffset + fall.byteLength);
  return {
    cells: take(MOST_CELLS * CELL_WIDTH),
    east: take(MOST_CELLS),
    north: take(MOST_CELLS),
    depth: take(MOST_CELLS),
    weight: take(MOST_CELLS),
    noise: take(MOST_CELLS),
  };
}

/** Gives one column behind the other. */
function columnsIn(buffer: ArrayBuffer, start: number): (count: number) => Float64Array {
  let at = start;
  return (count) => {
    const column = new Float64Array(buffer, at, count);
    at += 8 * count;
    return column;
  };
}
