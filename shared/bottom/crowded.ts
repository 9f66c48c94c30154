import { type Blocks, emptyBlocks } from './blocks.ts';

/** Most blocks that are fitted one by one; more make the fit slower but no better. */
const MAX_BLOCKS = 320;
/** Side of the cells that blocks are merged into, near the waypoint and beyond, m. */
const NEAR_CELL = 8;
const FAR_CELL = 20;

/** Larger than the number of cells on a side, so that keys are distinct. */
const KEYS = 4096;

/** Whether there are so many blocks that single passes no longer matter. */
export const isCrowded = ({ count }: Blocks): boolean => count > MAX_BLOCKS;

/**
 * Replaces the blocks of a crowded neighborhood by their means in square cells; returns fewer blocks unchanged.
 *
 * Each cell counts as its own leg: the errors of many passes average out in it, so two cells share little error. At most
 * about 290 cells cover the circle of 118 m radius.
 *
 * @param nearRadius Distance from the origin within which cells are small, m.
 */
export function thinCrowded(blocks: Blocks, nearRadius: number): Blocks {
  if (!isCrowded(blocks)) return blocks;
  const cells = new Map<number, number[]>();
  for (let i = 0; i < blocks.count; i++) {
    const east = blocks.east[i];
    const north = blocks.north[i];
    const side = east * east + north * north < nearRadius * nearRadius ? NEAR_CELL : FAR_CELL;
    const key = (side * KEYS + Math.floor(east / side)) * KEYS + Math.floor(north / side);
    const rows = cells.get(key);
    if (rows === undefined) cells.set(key, [i]);
    else rows.push(i);
  }
  const groups = [...cells.values()];
  const mean = (column: Float64Array): Float64Array =>
    Float64Array.from(groups, (rows) => meanOf(column, rows));
  const count = groups.length;
  return {
    ...emptyBlocks(count),
    east: mean(blocks.east),
    north: mean(blocks.north),
    depth: mean(blocks.depth),
    leg: Int32Array.from(groups, (_, cell) => cell),
    weight: Float64Array.from(groups, (rows) => rows.reduce((sum, i) => sum + blocks.weight[i], 0)),
    noise: mean(blocks.noise),
  };
}

function meanOf(column: Float64Array, rows: readonly number[]): number {
  let sum = 0;
  for (const i of rows) sum += column[i];
  return sum / rows.length;
}
