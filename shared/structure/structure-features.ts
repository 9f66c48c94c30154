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

/** Smoothing of the lake's bottom before words are looked for, m. */
const SMOOTHING = 6;
/** The lake's bottom is as sure as its soundings: the table is told the uncertainty of a usual survey. */
const USUAL = { passSpacing: 30, sd24: 0.15, sd60: 0.2 };
/** Ways that the grid is turned, so that a word does not hang on how the lattice lies. */
const TURNS = 4;

/**
 * Features of the lake's bottom about a place, the grid of it turned four ways from the lattice's axis; undefined where the place is
 * not known.
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
