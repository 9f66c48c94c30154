export { compareLakes, type LakeComparison } from './compare-lakes.ts';
export { type DrawForms, formsOfDraws, formsOfMean, type Sought } from './draw-forms.ts';
export { findLakeAreas, type LakeArea } from './lake-areas.ts';
export { type GroundDepths, type GroundLattice, groundOf, lakeBottom, nodeOf } from './lake-bottom.ts';
export {
  atPlace,
  LAKE_GRID,
  type LakeGrid,
  type LakeGridOptions,
  lakeGridSteps,
  makeLakeGrid,
  nodeAt,
} from './lake-grid.ts';
export { findLakeLines, type LakeLine, placeOf } from './lake-lines.ts';
export { type LakeModel, makeLakeModel } from './lake-model.ts';
export { placeOnLake } from './lake-place.ts';
export { anchoredFrame } from './lay-lattice.ts';
export { findLineNodes } from './line-nodes.ts';
export { type NextPass, nextPasses, type PlaceOfInterest } from './next-passes.ts';
export { patchAt } from './patch.ts';
export { placeWords } from './place-words.ts';
export type { Lattice } from './raster.ts';
export { solveTile } from './solve-tile.ts';
export { FORM_SMOOTHING, type Terrain, terrainOf } from './terrain.ts';
export type { TileTask } from './tiles.ts';
