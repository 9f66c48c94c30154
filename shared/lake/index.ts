export { compareLakes, type LakeComparison } from './compare-lakes.ts';
export type { LakeArea } from './lake-areas.ts';
export { type GroundDepths, type GroundLattice, groundOf, lakeBottom } from './lake-bottom.ts';
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
export { anchoredFrame } from './lay-lattice.ts';
export { findLineNodes, type LineNodes } from './line-nodes.ts';
export { linkNodes } from './link-nodes.ts';
export { type NextPass, nextPasses } from './next-passes.ts';
export { patchAt } from './patch.ts';
export { placeWords } from './place-words.ts';
export type { Lattice } from './raster.ts';
export { doLakeTask, type LakeTask, type Rounds } from './rounds.ts';
export { type Terrain, terrainOf } from './terrain.ts';
