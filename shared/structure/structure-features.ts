import { memoize } from 'es-toolkit/function';
import { CELL_SIZE, CubicStencil, GRID_SIZE, padded, ringMean } from '../bottom/index.ts';
import type { BottomModel, LakeBottom } from '../contract/index.ts';
import { groundOf, nodeOf, patchesOf } from '../lake/index.ts';
import { type StructureFeatures, structureFeatures } from './features/features.ts';
import { EAST, NORTH } from './features/height-field.ts';

/** A view of the bottom around a mark, moved and turned relative to the lattice. */
interface Look {
  /** Middle of the view, m from the mark along the axes of the lattice. */
  readonly east: number;
  readonly north: number;
  /** Turn of the view relative to the lattice, rad, counterclockwise. */
  readonly turn: number;
}

/** Number of looks at the mark itself. One of these looks is described in the reason for a word. */
export const CENTERED = 4;
/**
 * Number of looks beside the mark. The mark's position is off by some meters. A mean over many looks depends
 * little on this position and on the direction of the lattice.
 */
const BESIDE = 8;
/** Distance between the mark and the looks beside the mark, m; judgment. */
const OFF = 6;
/** All looks, with the looks at the mark first. */
export const LOOKS: readonly Look[] = [
  ...Array.from({ length: CENTERED }, (_, k) => ({ east: 0, north: 0, turn: (k * Math.PI) / 2 / CENTERED })),
  ...Array.from({ length: BESIDE }, (_, k) => {
    // With steps of 3, neighbors on the circle around the mark have clearly different turns.
    const toward = ((3 * k + 0.5) * 2 * Math.PI) / BESIDE;
    return {
      east: OFF * Math.cos(toward),
      north: OFF * Math.sin(toward),
      turn: (k * Math.PI) / 2 / BESIDE,
    };
  }),
];

/** Measures the features of a mark's own model, a set for each look; undefined without a grid. */
export function featuresOfModel(model: BottomModel, looks = LOOKS): StructureFeatures[] | undefined {
  const { grid, passSpacing } = model;
  if (grid === undefined) return undefined;
  const uncertainty = { passSpacing, sd24: ringMean(grid.sd, 24), sd60: ringMean(grid.sd, 60) };
  const depth = padded(grid.depth);
  return looks.map((look) =>
    structureFeatures(look === LOOKS[0] ? grid.depth : stencilOf(look).valuesOf(depth), uncertainty),
  );
}

/** Returns the stencil of a look's nodes on the lattice. Beyond the edge, the nearest edge value counts. */
const stencilOf = memoize(({ east: lookEast, north: lookNorth, turn }: Look): CubicStencil => {
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  return new CubicStencil(
    Array.from(EAST, (east, node) => [
      lookEast + cos * east - sin * NORTH[node],
      lookNorth + sin * east + cos * NORTH[node],
    ]),
  );
});

/** Patches of the lake's bottom, smoothed with a Gaussian of 6 m standard deviation. */
const patchAt = patchesOf({ size: GRID_SIZE, cell: CELL_SIZE, smoothing: 6 });
/** Uncertainty assumed for the lake's bottom: the values of a usual survey. */
const USUAL = { passSpacing: 30, sd24: 0.15, sd60: 0.2 };

/**
 * Measures the features of the lake's bottom around a place, a set for each look with a known depth in its
 * middle.
 *
 * @param lat deg. @param lon deg.
 * @returns undefined where the depth of the place itself is unknown.
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
