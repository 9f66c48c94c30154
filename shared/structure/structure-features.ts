import { ringMean } from '../bottom/index.ts';
import type { BottomModel } from '../contract/index.ts';
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
