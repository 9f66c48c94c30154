export { asciiGrid } from './ascii-grid.ts';
export { geotiff } from './geotiff.ts';
