import FlatQueue from 'flatqueue';
import { CELL_SIZE, GRID_SIZE, HALF } from '../../bottom/index.ts';
import { type HeightField, SMALL_HEIGHT, squash } from './height-field.ts';

/** Nodes from the mark within which the top of its rise may lie: 60 m. */
const REACH = Math.round(60 / CELL_SIZE);
/** Steps to the eight neighbors. */
const AROUND = [
  [-1, -1],
  [-1, 0],
  [-1, 1],
  [0, -1],
  [0, 1],
  [1, -1],
  [1, 0],
  [1, 1],
] as const;

/** The rise that a mark lies on. */
export interface Rise {
  /** Height of the top above the lowest closed isobath around it, m. */
  readonly prominence: number;
  /** Node of the top. */
  readonly top: number;
  /** Nodes inside the lowest closed isobath. */
  readonly nodes: number;
}

/**
 * Climbs from the mark to the top of its rise, then floods down from there until it meets higher ground or the grid's edge.
 *
 * @param sign 1 for a rise; -1 for a hole, as a rise of the bottom turned upside down.
 */
export function findRise(heights: Float64Array, sign: 1 | -1): Rise {
  const top = climb(heights, sign);
  const topHeight = sign * heights[top];
  const seen = new Uint8Array(heights.length);
  const queue = new FlatQueue<number>();
  queue.push(top, -topHeight);
  seen[top] = 1;
  let lowest = topHeight;
  let nodes = 0;
  while (queue.length > 0) {
    const node = queue.pop()!;
    const height = sign * heights[node];
    if (height > topHeight) break;
    lowest = Math.min(lowest, height);
    nodes++;
    const row = Math.floor(node / GRID_SIZE);
    const column = node % GRID_SIZE;
    if (row === 0 || column === 0 || row === GRID_SIZE - 1 || column === GRID_SIZE - 1) break;
    for (const [r, c] of AROUND) {
      const next = (row + r) * GRID_SIZE + column + c;
      if (seen[next]) continue;
      seen[next] = 1;
      queue.push(next, -sign * heights[next]);
    }
  }
  return { prominence: topHeight - lowest, top, nodes };
}

function climb(heights: Float64Array, sign: 1 | -1): number {
  let row = HALF;
  let column = HALF;
  for (;;) {
    let best = sign * heights[row * GRID_SIZE + column];
    let to: readonly [number, number] | undefined;
    for (const [r, c] of AROUND) {
      if (Math.abs(row + r - HALF) > REACH || Math.abs(column + c - HALF) > REACH) continue;
      const height = sign * heights[(row + r) * GRID_SIZE + column + c];
      if (height > best) {
        best = height;
        to = [r, c];
      }
    }
    if (to === undefined) return row * GRID_SIZE + column;
    row += to[0];
    column += to[1];
  }
}

/** Prominence up and down, on the bottom as it is and on the bottom with its tilt removed. */
export function prominenceFeatures(field: HeightField): number[] {
  const { smooth, level, relief } = field;
  return [
    squash(findRise(smooth, 1).prominence, SMALL_HEIGHT),
    squash(findRise(smooth, -1).prominence, SMALL_HEIGHT),
    findRise(level, 1).prominence / (relief + 0.3),
    findRise(level, -1).prominence / (relief + 0.3),
  ];
}

export const PROMINENCE_NAMES: readonly string[] = ['hump_prom', 'hole_prom', 'humpD_prom/R', 'holeD_prom/R'];
