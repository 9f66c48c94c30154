import { memoize } from 'es-toolkit/function';
import { CELL_SIZE, CubicStencil, GRID_SIZE, padded, ringMean } from '../bottom/index.ts';
import type { BottomModel, LakeBottom } from '../contract/index.ts';
import { groundOf, nodeOf, patchesOf } from '../lake/index.ts';
import { type StructureFeatures, structureFeatures } from './features/features.ts';
import { EAST, NORTH } from './features/height-field.ts';

/** One view of the bottom around a mark, given by its middle and the direction of its first axis. */
interface Look {
  /** From the mark along the axes of the lattice, m. */
  readonly east: number;
  readonly north: number;
  /** Angle of the first axis from the first axis of the lattice, rad, counter-clockwise. */
  readonly turn: number;
}

/**
 * Number of looks at the mark itself, the first along the lattice. They give the reason for a word, and together weigh
 * as much as one look from around the mark in the choice of the word.
 */
export const CENTERED = 4;
/**
 * Number of looks from around the mark. The mean over all looks depends little on the mark's position, which is off by
 * some meters, or on the direction of the lattice, which differs when a survey is turned.
 */
const BESIDE = 8;
/** Distance from the mark of the looks around it, m. */
const OFF = 6;
/** All looks, those at the mark first. */
export const LOOKS: readonly Look[] = [
  ...Array.from({ length: CENTERED }, (_, k) => ({ east: 0, north: 0, turn: (k * Math.PI) / 2 / CENTERED })),
  ...Array.from({ length: BESIDE }, (_, k) => {
    // Looks next to each other around the mark are turned by different angles.
    const toward = ((3 * k + 0.5) * 2 * Math.PI) / BESIDE;
    return {
      east: OFF * Math.cos(toward),
      north: OFF * Math.sin(toward),
      turn: (k * Math.PI) / 2 / BESIDE,
    };
  }),
];

/** Features of a modeled bottom with its own uncertainty, one set for each look; undefined without a grid. */
export function featuresOfModel(model: BottomModel, looks = LOOKS): StructureFeatures[] | undefined {
  const { grid, passSpacing } = model;
  if (grid === undefined) return undefined;
  const uncertainty = { passSpacing, sd24: ringMean(grid.sd, 24), sd60: ringMean(grid.sd, 60) };
  const depth = padded(grid.depth);
  return looks.map((look) =>
    structureFeatures(look === LOOKS[0] ? grid.depth : stencilOf(look).valuesOf(depth), uncertainty),
  );
}

/** Where a look's nodes lie on the lattice; beyond the edge, the nearest edge value counts. */
const stencilOf = memoize(({ east: lookEast, north: lookNorth, turn }: Look): CubicStencil => {
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  return new CubicStencil(
    Array.from(EAST, (east, node) => [
      lookEast + cos * east - sin * NORTH[node],
      lookNorth + sin * east + cos * NORTH[node],
    ]),
  );
});

/** The lake's bottom is smoothed over 6 m before its features are measured. */
const patchAt = patchesOf({ size: GRID_SIZE, cell: CELL_SIZE, smoothing: 6 });
/** The lake's bottom carries no uncertainty here, so its features take the uncertainty of a usual survey. */
const USUAL = { passSpacing: 30, sd24: 0.15, sd60: 0.2 };
/**
 * Features of the lake's bottom around a place, deg, one set for each look whose middle has a known depth;
 * undefined where the depth of the place itself is unknown.
 */
export function featuresOnLake(
  lake: LakeBottom,
  lat: number,
  lon: number,
  looks = LOOKS,
): StructureFeatures[] | undefined {
  const ground = groundOf(lake);
  const [x, y] = nodeOf(ground, lat, lon);
  const seen: StructureFeatures[] = [];
  for (const { east, north, turn } of looks) {
    const patch = patchAt(lake, lake.depth, x + east / lake.cell, y + north / lake.cell, turn);
    if (patch !== undefined) seen.push(structureFeatures(patch, USUAL));
    else if (seen.length === 0) return undefined;
  }
  return seen;
}
