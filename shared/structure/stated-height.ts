import { maxBy } from 'es-toolkit/array';
import { range } from 'es-toolkit/math';
import { latticeAt } from '../bottom/index.ts';
import type { StructureWord } from '../contract/index.ts';
import type { Edge } from './features/edge.ts';
import type { StructureFeatures } from './features/features.ts';
import type { HeightField } from './features/height-field.ts';

/** Height that a rise, hole or drop must exceed to be worth fishing, m; judgment. */
const MIN_HEIGHT = 0.4;
/** Height beyond `MIN_HEIGHT` that is needed for full support of a word, m; judgment. */
const SURE_HEIGHT = 0.2;
/** Difference in slope between face and shelf that an edge must exceed, deg; judgment. */
const MIN_BREAK = 1;
/** Difference in slope beyond `MIN_BREAK` that is needed for full support of an edge, deg; judgment. */
const SURE_BREAK = 0.5;

/**
 * Returns how well the bottom supports a word, 0 to 1, by the height and slopes that `describeStructure`
 * states for the word. The support grows gradually: with a step, a few centimeters of depth would decide
 * between two words.
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

/**
 * Returns the rise (sign 1) or hole (-1) and the `heights` it was found in: the leveled heights if it is more
 * than twice as prominent there, otherwise the smoothed heights.
 */
export function moundOf({ field, rises }: Pick<StructureFeatures, 'field' | 'rises'>, sign: 1 | -1) {
  const [plain, leveled] = [rises.plain[sign], rises.leveled[sign]];
  return plain.prominence < 0.5 * leveled.prominence
    ? { heights: field.level, ...leveled }
    : { heights: field.smooth, ...plain };
}

/**
 * Finds the axis through the mark on which the lower of the two sides rises most, within 80 m.
 *
 * @returns The axis as a unit vector, and the `rise` from the mark to the top of the lower side, m, >= 0.
 */
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

/** Returns the drop from 10 m upslope to 40 m downslope of the edge of a point, m. */
export const pointDrop = (field: HeightField, edge: Edge): number =>
  profile(field, edge, -10) - profile(field, edge, 40);

/**
 * Returns the drop, m, from the highest point within 40 m upslope of the edge to the lowest within 40 m
 * downslope.
 */
export const edgeDrop = (field: HeightField, edge: Edge): number =>
  Math.max(...range(0, 41, 4).map((d) => profile(field, edge, -d))) -
  Math.min(...range(0, 41, 4).map((d) => profile(field, edge, d)));

/** Returns the smoothed height on the fall line through the edge, m. @param d m downslope of the edge. */
export const profile = (field: HeightField, edge: Edge, d: number): number =>
  latticeAt(field.smooth, edge.east + d * edge.downEast, edge.north + d * edge.downNorth);
