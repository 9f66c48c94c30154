import { group } from 'd3-array';
import { type Blocks, emptyBlocks } from './blocks.ts';
import type { LocalSoundings } from './local-rows.ts';
import type { Noise } from './noise.ts';

/** Side of a cell near the waypoint, m; it doubles beyond each of these distances from the waypoint, m. */
const SIDE = 8;
const DOUBLED = [28, 60];
/** Larger than the number of cells on a side, so that keys are distinct. */
const KEYS = 4096;

/**
 * Means in square cells, whatever pass the soundings come from, for places where passes crowd.
 *
 * Each cell counts as its own leg: the errors of many passes average out in it, so two cells share little error.
 *
 * @param spike 1 for rows to leave out.
 */
export function cellBlocks(
  { count, east, north, depth, weight }: LocalSoundings,
  spike: Uint8Array,
  noise: Noise,
): Blocks {
  const cellOf = (i: number): number => {
    const square = east[i] * east[i] + north[i] * north[i];
    const side = DOUBLED.reduce((size, from) => (square < from * from ? size : 2 * size), SIDE);
    return (side * KEYS + Math.floor(east[i] / side)) * KEYS + Math.floor(north[i] / side);
  };
  const rows = Array.from({ length: count }, (_, i) => i).filter((i) => spike[i] === 0);
  const cells = [...group(rows, cellOf).values()];
  const weightOf = (i: number): number => (weight === undefined ? 1 : weight[i]);
  const weights = Float64Array.from(cells, (cell) => cell.reduce((sum, i) => sum + weightOf(i), 0));
  const mean = (column: ArrayLike<number>): Float64Array =>
    weights.map((all, block) => cells[block].reduce((sum, i) => sum + weightOf(i) * column[i], 0) / all);
  return {
    ...emptyBlocks(cells.length),
    east: mean(east),
    north: mean(north),
    depth: mean(depth),
    leg: Int32Array.from(cells.keys()),
    weight: weights,
    noise: Float64Array.from(cells, ([first]) => noise.near(first)),
  };
}
