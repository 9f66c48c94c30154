import { maxBy } from 'es-toolkit/array';
import { range } from 'es-toolkit/math';
import { latticeAt } from '../bottom/index.ts';
import type { StructureWord } from '../contract/index.ts';
import type { Edge } from './features/edge.ts';
import type { StructureFeatures } from './features/features.ts';
import type { HeightField } from './features/height-field.ts';

/** A rise, low or drop smaller than this is nothing to fish, m. */
const MIN_HEIGHT = 0.4;
/** A rise, low or drop that exceeds `MIN_HEIGHT` by this is surely something to fish, m. */
const SURE_HEIGHT = 0.2;
/** A face is no edge if it is steeper than the ground above it by less than this, deg. */
const MIN_BREAK = 1;
/** A face is surely an edge if its extra steepness exceeds `MIN_BREAK` by this, deg. */
const SURE_BREAK = 0.5;

/**
 * How far the reason for a word holds, 0 to 1, by the height that the reason states. The value grows
 * gradually: with a step, a few centimeters of depth would decide between two words.
 */
export function support(word: StructureWord, features: StructureFeatures): number {
  const { field, edge, ridge, valley } = features;
  switch (word) {
    case 'hump':
    case 'hole':
      return ofHeight(moundOf(features, word === 'hump' ? 1 : -1).prominence);
    case 'ridge':
    case 'ditch':
      return ofHeight((word === 'ridge' ? ridge : valley).start);
    case 'saddle':
      return ofHeight(saddleOf(field).rise);
    case 'point':
      return ofHeight(pointDrop(field, edge));
    case 'slope':
    case 'flat':
      return 1;
    default:
      return (
        ramp((edge.face16 - Math.abs(edge.shelf) - MIN_BREAK) / SURE_BREAK) * ofHeight(edgeDrop(field, edge))
      );
  }
}

const ofHeight = (height: number): number => ramp((height - MIN_HEIGHT) / SURE_HEIGHT);
const ramp = (x: number): number => Math.max(0, Math.min(1, x));

/** The rise (sign 1) or low (-1) at the mark, on the bottom as it is or, on a slope, less its tilt. */
export function moundOf({ field, rises }: Pick<StructureFeatures, 'field' | 'rises'>, sign: 1 | -1) {
  const [plain, leveled] = [rises.plain[sign], rises.leveled[sign]];
  return plain.prominence < 0.5 * leveled.prominence
    ? { heights: field.level, ...leveled }
    : { heights: field.smooth, ...plain };
}

/** Rise of the lower of two opposite sides of the mark, m, on the axis where it is greatest, and that axis. */
export function saddleOf({ smooth, mark }: HeightField): { rise: number; east: number; north: number } {
  const axes = range(12).map((k) => {
    const [east, north] = [Math.cos((Math.PI * k) / 12), Math.sin((Math.PI * k) / 12)];
    const rise = Math.min(highestAlong(smooth, east, north), highestAlong(smooth, -east, -north)) - mark;
    return { rise, east, north };
  });
  return maxBy([{ rise: 0, east: 1, north: 0 }, ...axes], ({ rise }) => rise)!;
}

const highestAlong = (g: Float64Array, e: number, n: number): number =>
  Math.max(...range(0, 81, 4).map((d) => latticeAt(g, d * e, d * n)));

/** Drop from 10 m upslope of a point's edge to 40 m downslope of the edge, m. */
export const pointDrop = (field: HeightField, edge: Edge): number =>
  profile(field, edge, -10) - profile(field, edge, 40);

/** Drop from the highest place within 40 m upslope of an edge to the lowest within 40 m downslope, m. */
export const edgeDrop = (field: HeightField, edge: Edge): number =>
  Math.max(...range(0, 41, 4).map((d) => profile(field, edge, -d))) -
  Math.min(...range(0, 41, 4).map((d) => profile(field, edge, d)));

/** Smoothed height on the fall line through the edge, m. @param d Distance from the edge toward deep water, m. */
export const profile = (field: HeightField, edge: Edge, d: number): number =>
  latticeAt(field.smooth, edge.east + d * edge.downEast, edge.north + d * edge.downNorth);
