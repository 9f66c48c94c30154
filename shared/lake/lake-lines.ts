import { type BottomLine, LINE_KINDS, type LineKind } from '../contract/index.ts';
import type { GroundLattice } from './lake-bottom.ts';
import { formsOfLake, type LakeForms } from './lake-forms.ts';
import type { LakeGrid } from './lake-grid.ts';
import { lengthOf, linkNodes } from './link-nodes.ts';

/** A lip, foot, crest or thalweg of the lake. */
export type LakeLine = BottomLine;

/** A line counts as inferred when the share of draws, averaged along it, is below this. */
const LEAST_SURE = 0.5;

/**
 * Lips, feet, crests and thalwegs of the lake, by kind in the order of `LINE_KINDS` and the longest first.
 *
 * The lines are those of the mean bottom. Their certainty comes from finding lines in each of the grid's draws in the
 * same way.
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

/** Places of a line, each averaged with its neighbors, because nodes lie on the lattice and lines between its nodes. */
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

/** `[lat, lon]`, deg, of a position in nodes. */
export function placeOf(grid: GroundLattice, x: number, y: number): [lat: number, lon: number] {
  const [along, across] = [grid.x0 + x * grid.cell, grid.y0 + y * grid.cell];
  const [c, s] = [Math.cos(grid.axis), Math.sin(grid.axis)];
  return grid.frame.toGeographic(c * along - s * across, s * along + c * across);
}
