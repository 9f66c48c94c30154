import type { LakeGrid } from './lake-grid.ts';
import { findLineNodes, LINE_KINDS, type LineKind, type LineNodes } from './line-nodes.ts';
import { lengthOf, linkNodes } from './link-nodes.ts';
import type { Lattice } from './raster.ts';
import { type Terrain, terrainOf } from './terrain.ts';

/** A lip, foot, crest or thalweg of the lake. */
export interface LakeLine {
  readonly kind: LineKind;
  /** `[lat, lon]`, deg, in order along the line. */
  readonly places: readonly (readonly [lat: number, lon: number])[];
  /** m. */
  readonly length: number;
  /** Depth along the line, m, positive down: mean, least and greatest. */
  readonly depth: number;
  readonly shallowest: number;
  readonly deepest: number;
  /** Share of the draws in which the line runs within 10 m, 0 to 1: mean along the line. */
  readonly sure: number;
  /** Fewer than half of the draws have it: no pass saw enough to say. */
  readonly isInferred: boolean;
}

/** Smoothing of the bottom before lines are looked for, m. */
const SMOOTHING = 6.5;
/** How near a line of a draw counts as the same, m. */
const SAME = 10;
const LEAST_SURE = 0.5;

/**
 * Lips, feet, crests and thalwegs of the lake, surest kinds of line first in the order of `LINE_KINDS`, longest first.
 *
 * Lines are those of the mean bottom; each of the grid's draws, looked at in the same way, says how sure they are.
 */
export function findLakeLines(grid: LakeGrid): LakeLine[] {
  const terrain = terrainOf(grid, grid.depth, SMOOTHING);
  const nodes = findLineNodes(terrain);
  const agreement = shareOfDraws(grid);
  return LINE_KINDS.flatMap((kind) =>
    linkNodes(grid, nodes[kind])
      .map((line) => lakeLine(grid, terrain, kind, line, agreement[kind]))
      .sort((a, b) => b.length - a.length),
  );
}

/** Share of draws with a line of each kind within 10 m of a node. */
function shareOfDraws(grid: LakeGrid): Record<LineKind, Float64Array> {
  const size = grid.columns * grid.rows;
  const share = Object.fromEntries(LINE_KINDS.map((kind) => [kind, new Float64Array(size)])) as Record<
    LineKind,
    Float64Array
  >;
  for (const draw of grid.draws) {
    const nodes: LineNodes = findLineNodes(terrainOf(grid, draw, SMOOTHING));
    for (const kind of LINE_KINDS) {
      const wide = widen(grid, nodes[kind], SAME);
      for (let k = 0; k < size; k++) share[kind][k] += wide[k] / grid.draws.length;
    }
  }
  return share;
}

/** Nodes within `reach` meters of those that are set. */
function widen({ columns, rows, cell }: Lattice, nodes: Uint8Array, reach: number): Uint8Array {
  const wide = new Uint8Array(nodes.length);
  const span = Math.floor(reach / cell);
  for (let k = 0; k < nodes.length; k++) {
    if (nodes[k] === 0) continue;
    const [x, y] = [k % columns, Math.floor(k / columns)];
    for (let dy = -span; dy <= span; dy++)
      for (let dx = -span; dx <= span; dx++) {
        const [nx, ny] = [x + dx, y + dy];
        if (nx < 0 || ny < 0 || nx >= columns || ny >= rows || Math.hypot(dx, dy) * cell > reach) continue;
        wide[ny * columns + nx] = 1;
      }
  }
  return wide;
}

function lakeLine(
  grid: LakeGrid,
  terrain: Terrain,
  kind: LineKind,
  line: readonly number[],
  agreement: Float64Array,
): LakeLine {
  const depths = line.map((node) => terrain.depth[node]);
  const sure = line.reduce((sum, node) => sum + agreement[node], 0) / line.length;
  return {
    kind,
    places: smoothPlaces(grid, line),
    length: lengthOf(grid, line),
    depth: depths.reduce((sum, depth) => sum + depth, 0) / depths.length,
    shallowest: Math.min(...depths),
    deepest: Math.max(...depths),
    sure,
    isInferred: sure < LEAST_SURE,
  };
}

/** Places of a line, each the mean of itself and its neighbors: nodes stand on the lattice, lines between them. */
function smoothPlaces(grid: LakeGrid, line: readonly number[]): (readonly [number, number])[] {
  const nodes = line.map((node) => [node % grid.columns, Math.floor(node / grid.columns)] as const);
  return nodes.map((_, i) => {
    const part = nodes.slice(Math.max(0, i - 1), i + 2);
    const isEnd = i === 0 || i === nodes.length - 1;
    const at = isEnd ? [nodes[i]] : part;
    const mean = (axis: 0 | 1): number => at.reduce((sum, node) => sum + node[axis], 0) / at.length;
    return placeOf(grid, mean(0), mean(1));
  });
}

/** `[lat, lon]`, deg, of a place given in nodes. */
export function placeOf(grid: LakeGrid, x: number, y: number): [lat: number, lon: number] {
  const [along, across] = [grid.x0 + x * grid.cell, grid.y0 + y * grid.cell];
  const [c, s] = [Math.cos(grid.axis), Math.sin(grid.axis)];
  return grid.frame.toGeographic(c * along - s * across, s * along + c * across);
}
