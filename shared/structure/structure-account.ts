import { range, sum } from 'es-toolkit/math';
import { CELL_SIZE, GRID_SIZE, HALF, latticeAt } from '../bottom/index.ts';
import type { DisplayUnits, FieldValues, StructureWord } from '../contract/index.ts';
import { depthText, lengthText } from '../text/index.ts';
import type { Crest } from './features/crest.ts';
import { type Edge, widthAt } from './features/edge.ts';
import type { StructureFeatures } from './features/features.ts';
import type { HeightField } from './features/height-field.ts';
import { edgeDrop, moundOf, pointDrop, profile, saddleOf } from './stated-height.ts';
import type { Structure } from './structure.ts';

type Part = FieldValues['structure_part'];

/** What can be said about a structure besides its word. */
export interface StructureAccount {
  /**
   * Smallest width, m, or for an edge the length of the face along the fall line; absent for slope, flat and
   * saddles with a rise of 5 cm or less.
   */
  readonly size?: number;
  /** Where on the structure the mark is; absent for flat. */
  readonly part?: Part;
  /** Why the structure has its word, as text. */
  readonly reason: string;
}

const EDGE_REASONS: Partial<Record<StructureWord, string>> = {
  'outside-turn': 'edge bends out toward deep water',
  'inside-turn': 'edge bends in',
  ledge: 'edge runs straight and stays deep below',
  'channel-edge': 'bottom climbs again beyond the channel',
};

export function describeStructure(structure: Structure, units: DisplayUnits): StructureAccount {
  const { field, edge, ridge, valley } = structure.features;
  switch (structure.word) {
    case 'hump':
      return describeMound(structure.features, 1, units);
    case 'hole':
      return describeMound(structure.features, -1, units);
    case 'ridge':
      return describeCrest(field, ridge, 1, units);
    case 'ditch':
      return describeCrest(field, valley, -1, units);
    case 'saddle':
      return describeSaddle(field, units);
    case 'point': {
      const across =
        ridge.start < MIN_CREST ? Number.POSITIVE_INFINITY : crestWidth(field, ridge, 1, ridge.start);
      const size = Math.min(widthAt(field, edge, -15, -1), across);
      return {
        size,
        part: partOfBank(field, edge),
        reason: `deeper on three sides, by ${heightText(pointDrop(field, edge), units)}; ${lengthText(size, units, ' ')} across`,
      };
    }
    case 'slope':
      return {
        part: 'side',
        reason: `falls evenly, ${structure.planeSlope.toFixed(0)} deg, nothing stands out`,
      };
    case 'flat':
      return {
        reason: `less than 2 deg and nothing stands out, ${heightText(structure.relief, units)} of relief`,
      };
    default:
      return describeEdge(field, edge, units, EDGE_REASONS[structure.word]!);
  }
}

const heightText = (meters: number, units: DisplayUnits): string =>
  depthText(Math.max(0, meters), units, ' ');

const MIN_CREST = 0.3;

/**
 * Names a part of a rise (sign 1) or hole (-1).
 *
 * @param share Height above the base of a rise, or depth below the rim of a hole, as a share of the whole.
 */
function partOf(share: number, sign: 1 | -1): Part {
  if (sign === -1 && share >= 0.75) return 'floor';
  if (sign === -1) return share >= 0.25 ? 'side' : 'upper edge';
  if (share >= 0.8) return 'top';
  if (share >= 0.55) return 'upper edge';
  return share >= 0.2 ? 'side' : 'base';
}

function describeMound(features: StructureFeatures, sign: 1 | -1, units: DisplayUnits): StructureAccount {
  const { heights, prominence, top } = moundOf(features, sign);
  const east = ((top % GRID_SIZE) - HALF) * CELL_SIZE;
  const north = (Math.floor(top / GRID_SIZE) - HALF) * CELL_SIZE;
  const share = 1 - (sign * (heights[top] - latticeAt(heights, 0, 0))) / Math.max(prominence, 0.01);
  return {
    size: Math.min(
      ...range(12).map((k) => {
        const axis = [Math.cos((Math.PI * k) / 12), Math.sin((Math.PI * k) / 12)] as const;
        return widthAcross(heights, sign, [east, north], axis, prominence / 2);
      }),
    ),
    part: partOf(share, sign),
    reason: `${sign === 1 ? 'higher' : 'lower'} than the ground all around, ${heightText(prominence, units)}`,
  };
}

type Pair = readonly [east: number, north: number];

/**
 * Measures the width of a rise (sign 1) or hole (-1) along an axis, m, at a level `below` m lower (rise) or
 * higher (hole) than at (x, y).
 */
function widthAcross(heights: Float64Array, sign: 1 | -1, [x, y]: Pair, [e, n]: Pair, below: number): number {
  const level = sign * latticeAt(heights, x, y) - below;
  let width = 0;
  for (const way of [1, -1]) {
    let d = 0;
    while (d < 100 && sign * latticeAt(heights, x + way * d * e, y + way * d * n) > level) d += 2;
    width += d;
  }
  return width;
}

function describeCrest(
  field: HeightField,
  crest: Crest,
  sign: 1 | -1,
  units: DisplayUnits,
): StructureAccount {
  const { east, north, start, ways } = crest;
  const height = Math.max(start, 0.05);
  const share = 1 - (sign * (latticeAt(field.smooth, east, north) - field.mark)) / height;
  const length = sum(ways.map(({ least }) => 10 * least.filter((c) => c > 0.3 * height).length));
  // A crest is followed for eight steps of about 10 m each way, and may go on beyond that.
  const goesOn = `goes on ${lengthText(length, units, ' ')}${length >= 160 ? ' or more' : ''}`;
  return {
    size: crestWidth(field, crest, sign, height),
    part: partOf(share, sign),
    reason: `${heightText(height, units)} ${sign === 1 ? 'above' : 'below'} both sides, ${goesOn}`,
  };
}

const crestWidth = (field: HeightField, crest: Crest, sign: 1 | -1, height: number): number =>
  widthAcross(field.smooth, sign, [crest.east, crest.north], [-crest.axisNorth, crest.axisEast], height / 2);

function describeSaddle(field: HeightField, units: DisplayUnits): StructureAccount {
  const { rise, east, north } = saddleOf(field);
  return {
    size: rise > 0.05 ? widthAcross(field.smooth, -1, [0, 0], [east, north], rise / 2) : undefined,
    part: 'floor',
    reason: `low between two rises of ${heightText(rise, units)}, falls away on both sides across`,
  };
}

function describeEdge(field: HeightField, edge: Edge, units: DisplayUnits, words: string): StructureAccount {
  const half = Math.max(edge.face16, 1) / 2;
  let size = 0;
  for (const way of [1, -1]) {
    for (let d = 0; d < 50; d += 4) {
      const fall = way * (profile(field, edge, way * d) - profile(field, edge, way * (d + 4)));
      if (Math.atan(fall / 4) * (180 / Math.PI) < half) break;
      size += 4;
    }
  }
  return {
    size: Math.max(size, 4),
    part: partOfBank(field, edge),
    reason: `${words}; ${edge.face16.toFixed(0)} deg face below a shelf of ${Math.abs(edge.shelf).toFixed(0)} deg, drop ${heightText(edgeDrop(field, edge), units)}`,
  };
}

function partOfBank(field: HeightField, edge: Edge): Part {
  const high = profile(field, edge, -36);
  const low = profile(field, edge, 36);
  return partOf((field.mark - low) / Math.max(high - low, 0.05), 1);
}
