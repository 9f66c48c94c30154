export { compareLakes, type LakeComparison } from './compare-lakes.ts';
export type { LakeArea } from './lake-areas.ts';
export {
  type GroundDepths,
  type GroundLattice,
  groundOf,
  lakeBottom,
  localOf,
  nodeOf,
} from './lake-bottom.ts';
export {
  atPlace,
  gridRounds,
  LAKE_GRID,
  type LakeGrid,
  type LakeGridOptions,
  makeLakeGrid,
  nodeAt,
} from './lake-grid.ts';
export { type LakeLine, placeOf } from './lake-lines.ts';
export { type LakeModel, makeLakeModel, modelRounds } from './lake-model.ts';
export { placeOnLake } from './lake-place.ts';
export { findLineNodes } from './line-nodes.ts';
export { type NextPass, nextPasses } from './next-passes.ts';
export { patchesOf } from './patch.ts';
export { anchoredFrame } from './place-lattice.ts';
export { placeWords } from './place-words.ts';
export { cutOut, type Lattice } from './raster.ts';
export { type LakeTask, type Rounds, runLakeTask } from './rounds.ts';
export { FORM_SMOOTHING, type Terrain, terrainOf } from './terrain.ts';
