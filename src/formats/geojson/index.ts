export { lakeSpot } from './lake-spots.ts';
export { readGeojson } from './read-geojson.ts';
