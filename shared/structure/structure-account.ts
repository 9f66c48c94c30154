import { CELL_SIZE, GRID_SIZE, HALF, latticeAt } from '../bottom/index.ts';
import { type DisplayUnits, type FieldValues, fromMeters } from '../contract/index.ts';
import type { Crest } from './features/crest.ts';
import type { Edge } from './features/edge.ts';
import { widthAt } from './features/edge.ts';
import type { StructureFeatures } from './features/features.ts';
import type { HeightField } from './features/height-field.ts';
import { edgeDrop, moundOf, pointDrop, profile, saddleOf } from './stated-height.ts';
import type { Structure } from './structure.ts';

type Part = FieldValues['structure_part'];

/** What can be said about a structure besides its word. */
export interface StructureAccount {
  /** Extent across the shortest side, m; absent for slope and flat. */
  readonly size?: number;
  /** Where on the structure the mark is; absent for flat. */
  readonly part?: Part;
  /** Why this word, in words. */
  readonly reason: string;
}

/** Size, part and reason of a structure. */
export function describeStructure(structure: Structure, units: DisplayUnits): StructureAccount {
  const { field, edge, ridge, valley } = structure.features;
  const height = (m: number): string => heightText(m, units);
  switch (structure.word) {
    case 'hump':
      return describeMound(structure.features, 1, (m) => `higher than the ground all around, ${height(m)}`);
    case 'hole':
      return describeMound(structure.features, -1, (m) => `lower than the ground all around, ${height(m)}`);
    case 'ridge':
      return describeCrest(field, ridge, 1, (m, on) => `${height(m)} above both sides, ${goesOn(on, units)}`);
    case 'ditch':
      return describeCrest(
        field,
        valley,
        -1,
        (m, on) => `${height(m)} below both sides, ${goesOn(on, units)}`,
      );
    case 'saddle':
      return describeSaddle(field, units);
    case 'point': {
      const size = Math.min(widthAt(field, edge, -15, -1), crestWidth(field, ridge));
      return {
        size,
        part: partOfBank(field, edge),
        reason: `deeper on three sides, by ${height(pointDrop(field, edge))}; ${lengthText(size, units)} across`,
      };
    }
    case 'outside-turn':
      return describeEdge(field, edge, units, 'edge bends out toward deep water');
    case 'inside-turn':
      return describeEdge(field, edge, units, 'edge bends in');
    case 'ledge':
      return describeEdge(field, edge, units, 'edge runs straight and stays deep below');
    case 'channel-edge':
      return describeEdge(field, edge, units, 'bottom climbs again beyond the channel');
    case 'slope':
      return {
        part: 'side',
        reason: `falls evenly, ${structure.planeSlope.toFixed(0)} deg, nothing stands out`,
      };
    case 'flat':
      return { reason: `less than 2 deg and nothing stands out, ${height(structure.relief)} of relief` };
  }
}

function heightText(meters: number, units: DisplayUnits): string {
  const value = fromMeters(Math.max(0, meters), units);
  return `${value.toFixed(units === 'm' ? 1 : 0)} ${units}`;
}

/** A crest lower than this does not count, m. */
const MIN_CREST = 0.3;

const lengthText = (meters: number, units: DisplayUnits): string =>
  units === 'm' ? `${meters.toFixed(0)} m` : `${fromMeters(meters, 'yd').toFixed(0)} yd`;

/** How far a crest goes on; it is followed at most 80 m each way. */
const goesOn = (meters: number, units: DisplayUnits): string =>
  `goes on ${lengthText(meters, units)}${meters >= 160 ? ' or more' : ''}`;

/** Part of a rise in words, from the height as a share of base (0) to top (1). */
function partOfRise(share: number): Part {
  if (share >= 0.8) return 'top';
  if (share >= 0.55) return 'upper edge';
  return share >= 0.2 ? 'side' : 'base';
}

/** Part of a low in words, from the height as a share of floor (0) to rim (1). */
function partOfLow(share: number): Part {
  if (share <= 0.25) return 'floor';
  return share <= 0.75 ? 'side' : 'upper edge';
}

function describeMound(
  features: StructureFeatures,
  sign: 1 | -1,
  reason: (height: number) => string,
): StructureAccount {
  const { heights, prominence, top } = moundOf(features, sign);
  const east = ((top % GRID_SIZE) - HALF) * CELL_SIZE;
  const north = (Math.floor(top / GRID_SIZE) - HALF) * CELL_SIZE;
  const share = 1 - (sign * (heights[top] - latticeAt(heights, 0, 0))) / Math.max(prominence, 0.01);
  return {
    size: narrowest(heights, sign, east, north, prominence / 2),
    part: sign === 1 ? partOfRise(share) : partOfLow(1 - share),
    reason: reason(prominence),
  };
}

/** Least width over 12 axes, measured a stated height below the top, m. */
function narrowest(heights: Float64Array, sign: number, east: number, north: number, below: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k < 12; k++) {
    const e = Math.cos((Math.PI * k) / 12);
    const n = Math.sin((Math.PI * k) / 12);
    least = Math.min(least, widthAcross(heights, sign, east, north, e, n, below));
  }
  return least;
}

/** Width along an axis of the part that is less than `below` meters under the start, m. */
function widthAcross(
  heights: Float64Array,
  sign: number,
  east: number,
  north: number,
  e: number,
  n: number,
  below: number,
): number {
  const level = sign * latticeAt(heights, east, north) - below;
  let width = 0;
  for (const way of [1, -1]) {
    let d = 0;
    while (d < 100 && sign * latticeAt(heights, east + way * d * e, north + way * d * n) > level) d += 2;
    width += d;
  }
  return width;
}

function describeCrest(
  field: HeightField,
  crest: Crest,
  sign: 1 | -1,
  reason: (height: number, length: number) => string,
): StructureAccount {
  const { east, north, axisEast, axisNorth, start, ways } = crest;
  const height = Math.max(start, 0.05);
  const share = 1 - (sign * (latticeAt(field.smooth, east, north) - field.mark)) / height;
  const length = ways.reduce((sum, way) => sum + 10 * way.least.filter((c) => c > 0.3 * height).length, 0);
  return {
    size: widthAcross(field.smooth, sign, east, north, -axisNorth, axisEast, height / 2),
    part: sign === 1 ? partOfRise(share) : partOfLow(1 - share),
    reason: reason(height, length),
  };
}

/** Width of a rise across its crest at half height, m; infinite where there is no crest. */
function crestWidth(field: HeightField, { start, east, north, axisEast, axisNorth }: Crest): number {
  if (start < MIN_CREST) return Number.POSITIVE_INFINITY;
  return widthAcross(field.smooth, 1, east, north, -axisNorth, axisEast, start / 2);
}

function describeSaddle(field: HeightField, units: DisplayUnits): StructureAccount {
  const { rise, east: e, north: n } = saddleOf(field);
  return {
    size: rise > 0.05 ? widthAcross(field.smooth, -1, 0, 0, e, n, rise / 2) : undefined,
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
  return partOfRise((field.mark - low) / Math.max(high - low, 0.05));
}
