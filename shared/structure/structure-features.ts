import { memoize } from 'es-toolkit/function';
import { CELL_SIZE, CubicStencil, GRID_SIZE, padded, ringMean } from '../bottom/index.ts';
import type { BottomModel, LakeBottom } from '../contract/index.ts';
import { groundOf, nodeOf, patchesOf } from '../lake/index.ts';
import { type StructureFeatures, structureFeatures } from './features/features.ts';
import { EAST, NORTH } from './features/height-field.ts';

/** One way to look at the bottom around a mark: middle of the look and direction of its first axis. */
interface Look {
  /** From the mark along the axes of the lattice, m. */
  readonly east: number;
  readonly north: number;
  /** From the first axis of the lattice, rad. */
  readonly turn: number;
}

/** Looks at the mark itself, which give the reason of a word, the first as the lattice lies. */
export const CENTERED = 4;
/**
 * Looks from around it, which give the word, and their distance, m: a fix and the track are off by some meters. A word on
 * their mean depends little on a few meters of position, and little on the lattice, whose nodes lie otherwise when a
 * survey is turned.
 */
const BESIDE = 8;
const OFF = 6;
/** All looks, those at the mark first. */
export const LOOKS: readonly Look[] = [
  ...Array.from({ length: CENTERED }, (_, k) => ({ east: 0, north: 0, turn: (k * Math.PI) / 2 / CENTERED })),
  ...Array.from({ length: BESIDE }, (_, k) => {
    // Neighbors in direction are turned by different angles.
    const toward = ((3 * k + 0.5) * 2 * Math.PI) / BESIDE;
    return {
      east: OFF * Math.cos(toward),
      north: OFF * Math.sin(toward),
      turn: (k * Math.PI) / 2 / BESIDE,
    };
  }),
];

/** Features of a modeled bottom with its own uncertainty, by looks; undefined when it has no grid. */
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
/** The lake's bottom carries no uncertainty of its own here, so the table gets that of a usual survey. */
const USUAL = { passSpacing: 30, sd24: 0.15, sd60: 0.2 };
/**
 * Features of the lake's bottom around a place, by looks, without those from places whose depth is not known; undefined
 * where that of the place itself is not.
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
