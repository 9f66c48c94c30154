import { latticeAt } from '../bottom/index.ts';
import type { StructureWord } from '../contract/index.ts';
import type { Edge } from './features/edge.ts';
import type { StructureFeatures } from './features/features.ts';
import type { HeightField } from './features/height-field.ts';
import { findRise } from './features/prominence.ts';

/** Height of the rise, low or drop that the reason for a word states, m; undefined for words that state none. */
export function statedHeight(
  word: StructureWord,
  { field, edge, ridge, valley }: StructureFeatures,
): number | undefined {
  switch (word) {
    case 'hump':
      return moundOf(field, 1).prominence;
    case 'hole':
      return moundOf(field, -1).prominence;
    case 'ridge':
      return ridge.start;
    case 'ditch':
      return valley.start;
    case 'saddle':
      return saddleOf(field).rise;
    case 'point':
      return pointDrop(field, edge);
    case 'slope':
    case 'flat':
      return undefined;
    default:
      // A face that is no steeper than the ground above it is no edge.
      return edge.face16 < Math.abs(edge.shelf) + 1 ? 0 : edgeDrop(field, edge);
  }
}

/** The rise (sign 1) or low (-1) at the mark, measured on the bottom as it is or, on sloping ground, with its tilt removed. */
export function moundOf(
  field: HeightField,
  sign: 1 | -1,
): { heights: Float64Array; prominence: number; top: number } {
  const plain = findRise(field.smooth, sign);
  const leveled = findRise(field.level, sign);
  return plain.prominence < 0.5 * leveled.prominence
    ? { heights: field.level, ...leveled }
    : { heights: field.smooth, ...plain };
}

/** Rise of the lower of two opposite sides of the mark, m, on the axis where it is greatest, and that axis. */
export function saddleOf(field: HeightField): { rise: number; east: number; north: number } {
  const g = field.smooth;
  let best = { rise: 0, east: 1, north: 0 };
  for (let k = 0; k < 12; k++) {
    const [east, north] = [Math.cos((Math.PI * k) / 12), Math.sin((Math.PI * k) / 12)];
    const rise = Math.min(highestAlong(g, east, north), highestAlong(g, -east, -north)) - field.mark;
    if (rise > best.rise) best = { rise, east, north };
  }
  return best;
}

function highestAlong(g: Float64Array, e: number, n: number): number {
  let most = Number.NEGATIVE_INFINITY;
  for (let d = 0; d <= 80; d += 4) most = Math.max(most, latticeAt(g, d * e, d * n));
  return most;
}

/** Drop from the back of a point to the water off its end, m. */
export const pointDrop = (field: HeightField, edge: Edge): number =>
  profile(field, edge, -10) - profile(field, edge, 40);

/** Drop from the top of an edge to the lowest place within 40 m downslope, m; farther out a channel's bottom may climb again. */
export function edgeDrop(field: HeightField, edge: Edge): number {
  const steps = Array.from({ length: 11 }, (_, k) => 4 * k);
  const top = Math.max(...steps.map((d) => profile(field, edge, -d)));
  return top - Math.min(...steps.map((d) => profile(field, edge, d)));
}

/** Smoothed height on the fall line through the edge, m. @param d Distance from the edge toward deep water, m. */
export const profile = (field: HeightField, edge: Edge, d: number): number =>
  latticeAt(field.smooth, edge.east + d * edge.downEast, edge.north + d * edge.downNorth);
