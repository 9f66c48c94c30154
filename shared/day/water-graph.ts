import FlatQueue from 'flatqueue';
import {
  cellCenter,
  cellsNear,
  type EastNorth,
  isRunnable,
  type KnownWater,
  secondsAlong,
} from './known-water.ts';

/** Approximate maximum number of nodes with fine blocks. */
const FINE_NODES = 60_000;
const FINE_BLOCK = 25;
/** Side of a block where fine blocks would give too many nodes, m. */
const COARSE_BLOCK = 50;

/** Half the side of the square searched for the node nearest to a place, m. */
const NODE_REACH = 75;

export type Graph = ReturnType<typeof buildGraph>;

const NEIGHBORS: readonly (readonly [number, number])[] = [
  [1, 0],
  [0, 1],
  [1, 1],
  [1, -1],
  [2, 1],
  [1, 2],
  [2, -1],
  [1, -2],
].flatMap(([along, up]) => [
  [along, up],
  [-along, -up],
]) as [number, number][];

/**
 * Builds a graph of the navigable water. Each block with a navigable cell has one node, in the navigable cell
 * nearest to the block's center, so narrow passages have nodes too. Edges lead to up to 16 neighbors, where
 * the straight line is clear.
 *
 * @param speed Speed on open water, m/s.
 */
export function buildGraph(water: KnownWater, speed: number) {
  const runnable = water.state.reduce((sum, state) => sum + (isRunnable(state) ? 1 : 0), 0);
  const isSmall = (runnable * water.size ** 2) / FINE_BLOCK ** 2 <= FINE_NODES;
  const step = Math.max(1, Math.round((isSmall ? FINE_BLOCK : COARSE_BLOCK) / water.size));
  const across = Math.ceil(water.columns / step);
  const up = Math.ceil(water.rows / step);
  const cells: number[] = [];
  const nodeOf = new Int32Array(water.state.length).fill(-1);
  const nodeOfBlock = new Int32Array(across * up).fill(-1);
  const blocks: number[] = [];
  for (let block = 0; block < nodeOfBlock.length; block++) {
    const cell = middleCell(water, (block % across) * step, Math.floor(block / across) * step, step);
    if (cell < 0) continue;
    nodeOf[cell] = cells.length;
    nodeOfBlock[block] = cells.length;
    cells.push(cell);
    blocks.push(block);
  }
  const centers = cells.map((cell) => cellCenter(water, cell));
  const first = new Int32Array(cells.length + 1);
  const to: number[] = [];
  const seconds: number[] = [];
  blocks.forEach((block, node) => {
    const column = block % across;
    const row = Math.floor(block / across);
    for (const [along, north] of NEIGHBORS) {
      const [toColumn, toRow] = [column + along, row + north];
      if (toColumn < 0 || toRow < 0 || toColumn >= across || toRow >= up) continue;
      const next = nodeOfBlock[toRow * across + toColumn];
      const cost = next < 0 ? Infinity : secondsAlong(water, centers[node], centers[next], speed);
      if (cost === Infinity) continue;
      to.push(next);
      seconds.push(cost);
    }
    first[node + 1] = to.length;
  });
  return {
    cells: Int32Array.from(cells),
    /** Node in each cell; -1 where there is none. */
    nodeOf,
    /** Edges of node `i`: `first[i]` to `first[i + 1] - 1`. */
    first,
    to: Int32Array.from(to),
    /** Time along each edge, s. */
    seconds: Float32Array.from(seconds),
  };
}

/** Finds the navigable cell nearest to the center of a block; -1 without one. @param step Side in cells. */
function middleCell(water: KnownWater, column: number, row: number, step: number): number {
  let best = -1;
  let bestDistance = Infinity;
  const half = (step - 1) / 2;
  for (let up = 0; up < step && row + up < water.rows; up++) {
    for (let along = 0; along < step && column + along < water.columns; along++) {
      const cell = (row + up) * water.columns + column + along;
      const distance = Math.hypot(along - half, up - half);
      if (distance >= bestDistance || !isRunnable(water.state[cell])) continue;
      best = cell;
      bestDistance = distance;
    }
  }
  return best;
}

/** Finds the nearest node with a clear straight line to a place; -1 when there is none nearby. */
export function nearestNode(graph: Graph, water: KnownWater, place: EastNorth): number {
  const reached = cellsNear(water, place, NODE_REACH, (cell) => graph.nodeOf[cell] >= 0).find(
    ({ at }) => secondsAlong(water, place, at, 1) < Infinity,
  );
  return reached === undefined ? -1 : graph.nodeOf[reached.cell];
}

/**
 * Finds the shortest times from a node to the targets. Other nodes may get longer times or none.
 *
 * @returns By node: `seconds`, the time, s (Infinity where the node is not reached), and `before`, the node
 * before it on the way (-1 where there is none).
 */
export function dijkstra(
  graph: Graph,
  source: number,
  targets: readonly number[],
): { seconds: Float64Array; before: Int32Array } {
  const seconds = new Float64Array(graph.cells.length).fill(Infinity);
  const before = new Int32Array(graph.cells.length).fill(-1);
  if (source < 0) return { seconds, before };
  const waiting = new Set(targets.filter((node) => node >= 0));
  const queue = new FlatQueue<number>();
  seconds[source] = 0;
  queue.push(source, 0);
  while (waiting.size > 0 && queue.length > 0) {
    const reached = queue.peekValue()!;
    const node = queue.pop()!;
    if (reached > seconds[node]) continue;
    waiting.delete(node);
    for (let edge = graph.first[node]; edge < graph.first[node + 1]; edge++) {
      const next = graph.to[edge];
      const at = seconds[node] + graph.seconds[edge];
      if (at >= seconds[next]) continue;
      seconds[next] = at;
      before[next] = node;
      queue.push(next, at);
    }
  }
  return { seconds, before };
}
