import { closeSync, openSync, readSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';

/** Matches the name of an enriched GPX file; a part of a split file has a number. */
export const ENRICHED = /\.enriched(-\d+)?\.gpx$/i;
/** Number of bytes at the start of a file that are enough to identify it. */
const HEAD_BYTES = 1024;
/** Start of our GPX that is not an edited input, such as cast lines, passes to run and day plans. */
const DOWNSLOPE_GPX = /^\s*(?:<\?xml[^>]*>\s*)?<gpx\b[^>]*\screator="downslope"/;
/** Start of our map layers and of the output of `--geojson`. */
const DOWNSLOPE_LAYER = /^\{"type":"FeatureCollection","creator":"downslope"/;
/** File names of our grids. A grid has no signature, so it counts as ours if our isobaths are beside it. */
const DOWNSLOPE_GRID = /^depth(?:-sd)?\.(?:asc|tif)$/;
/** First columns of our table, and of the day plan as a table. */
const DOWNSLOPE_CSV = /^(?:file,waypoint,lat,lon,status|stop,spot,side,visit),/;

/**
 * True for an output of an earlier run that must not be used as input when found in a folder: GPX, CSV, map
 * layers and grids.
 *
 * Otherwise boat positions of a day plan would be read as marks, and modeled depths of a table as soundings.
 * A file that cannot be read is judged by its name alone.
 */
export function isDownslopeOutput(path: string): boolean {
  if (ENRICHED.test(path)) return true;
  if (/\.geojson$/i.test(path)) return isDownslopeLayer(path);
  if (DOWNSLOPE_GRID.test(basename(path))) return isDownslopeLayer(join(dirname(path), 'isobaths.geojson'));
  const isGpx = /\.gpx$/i.test(path);
  if (!isGpx && !/\.csv$/i.test(path)) return false;
  return (isGpx ? DOWNSLOPE_GPX : DOWNSLOPE_CSV).test(headText(path));
}

const isDownslopeLayer = (path: string): boolean => DOWNSLOPE_LAYER.test(headText(path));

const headText = (path: string): string => Buffer.from(headOfFile(path, HEAD_BYTES)).toString('latin1');

/** Returns up to `most` bytes from the start of a file; none for a pipe or device, or an unreadable file. */
export function headOfFile(path: string, most: number): Uint8Array {
  try {
    // Opening a pipe would wait for its writer.
    if (!statSync(path).isFile()) return new Uint8Array(0);
    const file = openSync(path, 'r');
    try {
      const bytes = Buffer.alloc(most);
      return bytes.subarray(0, readSync(file, bytes, 0, most, 0));
    } finally {
      closeSync(file);
    }
  } catch {
    return new Uint8Array(0);
  }
}
