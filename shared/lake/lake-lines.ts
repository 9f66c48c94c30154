import { type BottomLine, LINE_KINDS, type LineKind } from '../contract/index.ts';
import type { GroundLattice } from './lake-bottom.ts';
import { formsOfLake, type LakeForms } from './lake-forms.ts';
import type { LakeGrid } from './lake-grid.ts';
import { lengthOf, linkNodes } from './link-nodes.ts';

/** A lip, foot, crest or thalweg of the lake. */
export type LakeLine = BottomLine;

/** Share of the draws, on the mean along a line, under which it is inferred. */
const LEAST_SURE = 0.5;

/**
 * Lips, feet, crests and thalwegs of the lake, surest kinds of line first in the order of `LINE_KINDS`, longest first.
 *
 * Lines are those of the mean bottom; each of the grid's draws, looked at in the same way, says how sure they are.
 */
export function findLakeLines(grid: LakeGrid, forms: LakeForms = formsOfLake(grid)): LakeLine[] {
  return LINE_KINDS.flatMap((kind) =>
    linkNodes(grid, forms.mean.lines[kind])
      .map((line) => lakeLine(grid, forms, kind, line))
      .sort((one, other) => other.length - one.length),
  );
}

function lakeLine(
  grid: LakeGrid,
  { mean, share }: LakeForms,
  kind: LineKind,
  line: readonly number[],
): LakeLine {
  const depths = line.map((node) => mean.terrain.depth[node]);
  const sure = line.reduce((sum, node) => sum + share(kind, node), 0) / line.length;
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
export function placeOf(grid: GroundLattice, x: number, y: number): [lat: number, lon: number] {
  const [along, across] = [grid.x0 + x * grid.cell, grid.y0 + y * grid.cell];
  const [c, s] = [Math.cos(grid.axis), Math.sin(grid.axis)];
  return grid.frame.toGeographic(c * along - s * across, s * along + c * across);
}
