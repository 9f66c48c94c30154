export { AREA_KINDS, findLakeAreas, type LakeArea } from './lake-areas.ts';
export { atPlace, LAKE_GRID, type LakeGrid, type LakeGridOptions, makeLakeGrid } from './lake-grid.ts';
export { findLakeLines, type LakeLine, placeOf } from './lake-lines.ts';
export { LINE_KINDS } from './line-nodes.ts';
