import { memoize } from 'es-toolkit/function';
import { type BottomLine, LINE_KINDS, type LineKind } from '../contract/index.ts';
import { bilinear } from '../math/index.ts';
import { type GroundLattice, localOf } from './lake-bottom.ts';
import { formsOfLake, type LakeForms } from './lake-forms.ts';
import type { LakeGrid } from './lake-grid.ts';
import { linePlaceAt } from './line-nodes.ts';
import { lengthOf, linkNodes } from './link-nodes.ts';

/** A lip, foot, crest or thalweg of the lake. */
export type LakeLine = BottomLine;

/** Minimum share of draws that have a line, averaged along it; with a smaller share, the line is inferred. */
const MIN_SURE = 0.5;

/**
 * Finds the lips, feet, crests and thalwegs of the lake's mean bottom, by kind in the order of `LINE_KINDS`,
 * the longest of a kind first.
 */
export function findLakeLines(grid: LakeGrid, forms: LakeForms = formsOfLake(grid)): LakeLine[] {
  const { lines, terrain } = forms.mean;
  return LINE_KINDS.flatMap((kind) => {
    const placeAt = memoize((node: number) => linePlaceAt(terrain, kind, node));
    return linkNodes(grid, lines[kind], placeAt)
      .map((line) => lakeLine(grid, forms, kind, line, line.map(placeAt)))
      .sort((one, other) => other.length - one.length);
  });
}

function lakeLine(
  grid: LakeGrid,
  { mean: { terrain }, share }: LakeForms,
  kind: LineKind,
  line: readonly number[],
  passing: readonly Place[],
): LakeLine {
  const places = smoothPlaces(passing);
  // At the rim, one of the four nodes around a place may have no depth.
  const depths = line.map((node, i) => {
    const depth = bilinear(terrain, terrain.depth, ...places[i]);
    return Number.isNaN(depth) ? terrain.depth[node] : depth;
  });
  const sure = line.reduce((sum, node) => sum + share(kind, node), 0) / line.length;
  return {
    kind,
    places: places.map(([x, y]) => placeOf(grid, x, y)),
    length: grid.cell * lengthOf(places),
    depth: depths.reduce((sum, depth) => sum + depth, 0) / depths.length,
    shallowest: depths.reduce((least, depth) => Math.min(least, depth)),
    deepest: depths.reduce((most, depth) => Math.max(most, depth)),
    sure,
    isInferred: sure < MIN_SURE,
  };
}

type Place = readonly [x: number, y: number];

/** Averages each place except the ends with both neighbors, because the path from node to node zigzags. */
function smoothPlaces(places: readonly Place[]): Place[] {
  return places.map((place, i) => {
    const isEnd = i === 0 || i === places.length - 1;
    const near = isEnd ? [place] : places.slice(i - 1, i + 2);
    const mean = (axis: 0 | 1): number => near.reduce((sum, each) => sum + each[axis], 0) / near.length;
    return [mean(0), mean(1)];
  });
}

/** Converts a position in nodes to `[lat, lon]`, deg. */
export const placeOf = (grid: GroundLattice, x: number, y: number): [lat: number, lon: number] =>
  grid.frame.toGeographic(...localOf(grid, x, y));
