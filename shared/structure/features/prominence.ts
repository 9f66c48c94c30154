import FlatQueue from 'flatqueue';
import { CELL_SIZE, GRID_SIZE, HALF } from '../../bottom/index.ts';
import { EAST, type HeightField, NORTH, SMALL_HEIGHT, squash } from './height-field.ts';

/** Distance of each node from the mark, in nodes: the larger of its row and column distances. */
const NODES_OFF = EAST.map((east, node) => Math.max(Math.abs(east), Math.abs(NORTH[node])) / CELL_SIZE);
/** Maximum distance of the top of a rise from the mark, as in `NODES_OFF`: 60 m on each axis; judgment. */
const REACH = Math.round(60 / CELL_SIZE);
const MARK = HALF * GRID_SIZE + HALF;
const NEIGHBOR_STEPS = [-1, 0, 1]
  .flatMap((row) => [-1, 0, 1].map((column) => row * GRID_SIZE + column))
  .filter((step) => step !== 0);

/** The rise that a mark lies on, or the hole that it lies in, as a rise of the bottom turned upside down. */
export interface Rise {
  /** Height of the top above the lowest isobath that closes around the top and no higher ground, m. */
  readonly prominence: number;
  readonly top: number;
}

/** Rise (key 1) and hole (key -1) at the mark, on `HeightField.smooth` (`plain`) and `level` (`leveled`). */
export interface Rises {
  readonly plain: Record<1 | -1, Rise>;
  readonly leveled: Record<1 | -1, Rise>;
}

export const findRises = ({ smooth, level }: HeightField): Rises => ({
  plain: { 1: findRise(smooth, 1), [-1]: findRise(smooth, -1) },
  leveled: { 1: findRise(level, 1), [-1]: findRise(level, -1) },
});

/** Scratch: neighbors of the visited nodes, the highest first. */
const queue = new FlatQueue<number>();
const seen = new Uint8Array(GRID_SIZE ** 2);

/**
 * Finds the rise at the mark. The search climbs from the mark to the top, then visits nodes around the top,
 * always the highest one next to a visited node. The search ends at a node that is higher than the top or on
 * the edge of the grid, and the lowest visited node gives the prominence.
 *
 * @param sign 1 for a rise, -1 for a hole.
 */
export function findRise(heights: Float64Array, sign: 1 | -1): Rise {
  const top = climb(heights, sign);
  const topHeight = sign * heights[top];
  queue.clear();
  seen.fill(0);
  seen[top] = 1;
  let lowest = topHeight;
  for (let node: number | undefined = top; node !== undefined; node = queue.pop()) {
    const height = sign * heights[node];
    if (height > topHeight) break;
    if (height < lowest) lowest = height;
    if (NODES_OFF[node] === HALF) break;
    for (let k = 0; k < NEIGHBOR_STEPS.length; k++) {
      const next = node + NEIGHBOR_STEPS[k];
      if (seen[next] === 1) continue;
      seen[next] = 1;
      queue.push(next, -sign * heights[next]);
    }
  }
  return { prominence: topHeight - lowest, top };
}

function climb(heights: Float64Array, sign: 1 | -1): number {
  let node = MARK;
  for (;;) {
    let to = node;
    for (let k = 0; k < NEIGHBOR_STEPS.length; k++) {
      const next = node + NEIGHBOR_STEPS[k];
      if (NODES_OFF[next] <= REACH && sign * heights[next] > sign * heights[to]) to = next;
    }
    if (to === node) return node;
    node = to;
  }
}

export function prominenceFeatures({ plain, leveled }: Rises, { relief }: HeightField): number[] {
  return [
    squash(plain[1].prominence, SMALL_HEIGHT),
    squash(plain[-1].prominence, SMALL_HEIGHT),
    leveled[1].prominence / (relief + 0.3),
    leveled[-1].prominence / (relief + 0.3),
  ];
}

export const PROMINENCE_NAMES: readonly string[] = ['hump_prom', 'hole_prom', 'humpD_prom/R', 'holeD_prom/R'];
