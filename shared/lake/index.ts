export { AREA_KINDS, type LakeArea, findLakeAreas } from './lake-areas.ts';
export { LAKE_GRID, type LakeGrid, type LakeGridOptions, atPlace, makeLakeGrid } from './lake-grid.ts';
export { type LakeLine, findLakeLines, placeOf } from './lake-lines.ts';
export { LINE_KINDS } from './line-nodes.ts';
