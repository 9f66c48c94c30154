export { lakeFiles } from './lake-files.ts';
export { LAKE_FILES, lakeGridOptions } from './lake-options.ts';
export { layers } from './layers.ts';
