export { AREA_KINDS, findLakeAreas, type LakeArea } from './lake-areas.ts';
export {
  atPlace,
  LAKE_GRID,
  type LakeGrid,
  type LakeGridOptions,
  makeLakeGrid,
  nodeAt,
} from './lake-grid.ts';
export { findLakeLines, type LakeLine, placeOf } from './lake-lines.ts';
export { findLineNodes, LINE_KINDS, type LineNodes } from './line-nodes.ts';
export { linkNodes } from './link-nodes.ts';
export type { Lattice } from './raster.ts';
export { type Terrain, terrainOf } from './terrain.ts';
