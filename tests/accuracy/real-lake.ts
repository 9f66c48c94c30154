import { existsSync, readFileSync } from 'node:fs';
import { SURFACE_RADIUS } from '../../shared/bottom/blocked-soundings.ts';
import type { LocalSoundings } from '../../shared/bottom/local-rows.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { depthAt, sdAt } from '../bottom/grid-values.ts';
import { rms } from './bottom-errors.ts';

/** Number of successive soundings left out together. */
const BLOCK = 10;
/** Distance between successive soundings beyond which a new pass starts, m. */
const PASS_GAP = 20;
/** The file begins with this many rows of a stray fix 4 km away. */
const STRAY = 6;

/**
 * Predicts the depths of a real lake, leaving out each block of ten soundings in turn.
 *
 * Data: Lake 227, Experimental Lakes Area, Ontario; IISD-ELA bathymetry, Hay, doi 10.5281/zenodo.18237230, CC
 * BY 4.0.
 *
 * @returns A line of results, or the reason why there are none.
 */
export function leaveBlocksOut(file: string): string {
  if (!existsSync(file)) return `real lake: skipped, no ${file}`;
  const rows = readFileSync(file, 'utf8')
    .trim()
    .split('\n')
    .slice(1 + STRAY)
    .map((line) => line.split(',').map(Number));
  const frame = localFrame(rows[0][0], rows[0][1]);
  const places = rows.map(([lat, lon]) => frame.toLocal(lat, lon));
  const pass = new Int32Array(rows.length);
  for (let i = 1; i < rows.length; i++) {
    const step = Math.hypot(places[i][0] - places[i - 1][0], places[i][1] - places[i - 1][1]);
    pass[i] = pass[i - 1] + (step > PASS_GAP ? 1 : 0);
  }
  const errors: number[] = [];
  let inside = 0;
  for (let start = 0; start < rows.length; start += BLOCK) {
    const end = Math.min(rows.length, start + BLOCK);
    const middle = Math.floor((start + end) / 2);
    const [east0, north0] = places[middle];
    const kept = rows
      .map((_, i) => i)
      .filter((i) => {
        const near = Math.hypot(places[i][0] - east0, places[i][1] - north0) < SURFACE_RADIUS;
        return near && (i < start || i >= end) && rows[i][2] > 0;
      });
    const model = modelBottom(select(places, rows, pass, kept, east0, north0), 0, 0);
    if (model.grid === undefined) continue;
    for (let i = start; i < end; i++) {
      const depth = depthAt(model.grid, places[i][0] - east0, places[i][1] - north0);
      if (!Number.isFinite(depth) || !(rows[i][2] > 0)) continue;
      const error = depth - rows[i][2];
      errors.push(error);
      const noise = 0.1;
      const sd = Math.hypot(sdAt(model.grid, places[i][0] - east0, places[i][1] - north0), noise);
      if (Math.abs(error) <= 1.96 * sd) inside++;
    }
  }
  return `real lake, blocks of ${BLOCK} left out: ${errors.length} soundings, depth RMSE ${rms(errors).toFixed(3)} m (goal at most 0.33), inside the 95 % interval: ${((100 * inside) / errors.length).toFixed(1)} % (goal 90 to 98)`;
}

function select(
  places: readonly (readonly number[])[],
  rows: readonly (readonly number[])[],
  pass: Int32Array,
  kept: readonly number[],
  east0: number,
  north0: number,
): LocalSoundings {
  return {
    count: kept.length,
    east: kept.map((i) => places[i][0] - east0),
    north: kept.map((i) => places[i][1] - north0),
    depth: kept.map((i) => rows[i][2]),
    pass: kept.map((i) => pass[i]),
  };
}
