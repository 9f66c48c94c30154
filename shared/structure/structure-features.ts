import { CELL_SIZE, GRID_SIZE, ringMean } from '../bottom/index.ts';
import type { BottomModel, LakeBottom } from '../contract/index.ts';
import { groundOf, patchAt } from '../lake/index.ts';
import { type StructureFeatures, structureFeatures } from './features/features.ts';

/** Features of a modeled bottom with its own uncertainty; undefined when it has no grid. */
export function featuresOfModel(model: BottomModel): StructureFeatures | undefined {
  const { grid, passSpacing } = model;
  if (grid === undefined) return undefined;
  return structureFeatures(grid.depth, {
    passSpacing,
    sd24: ringMean(grid.sd, 24),
    sd60: ringMean(grid.sd, 60),
  });
}

/** Smoothing of the lake's bottom before its features are measured, m. */
const SMOOTHING = 6;
/** The lake's bottom carries no uncertainty of its own here, so the table gets that of a usual survey. */
const USUAL = { passSpacing: 30, sd24: 0.15, sd60: 0.2 };
/** Number of orientations of the grid, so that a word does not depend on the direction of the lattice. */
const TURNS = 4;

/**
 * Features of the lake's bottom around a place, one set for each of four orientations of the grid from the lake's axis;
 * undefined where the lake's bottom is not known.
 */
export function featuresOnLake(lake: LakeBottom, lat: number, lon: number): StructureFeatures[] | undefined {
  const ground = groundOf(lake);
  const shape = { size: GRID_SIZE, cell: CELL_SIZE, smoothing: SMOOTHING };
  const turned = Array.from({ length: TURNS }, (_, k) => {
    const turn = lake.axis + (k * Math.PI) / 2 / TURNS;
    const patch = patchAt(ground, lake.depth, lat, lon, { ...shape, turn });
    return patch && structureFeatures(patch, USUAL);
  });
  return turned.every((each) => each !== undefined) ? turned : undefined;
}
