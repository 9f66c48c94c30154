import { findSpikes } from '../../bottom/index.ts';
import { CELL, CELL_WIDTH, type CellMeans, type Soundings } from '../../contract/index.ts';
import { metersPerDegree } from '../../geo/index.ts';
import { sharedMemory } from '../../math/index.ts';
import {
  type CellTable,
  cellsOfRow,
  eastOf,
  isPlace,
  middleOf,
  northOf,
  perDegreeEast,
  SIDE,
} from './cell-table.ts';

/**
 * Mean distance between passes, m, below which a neighborhood counts as crowded; cells are used only there.
 */
const CROWDED_SPACING = 5;
/** Shortest and longest step that counts as track, m: a shorter one is a boat at rest, a longer one a gap. */
const MIN_STEP = 2;
const LONGEST_STEP = 20;
/** Number of soundings beyond which a row's mean gets no more accurate; see `noise.ts`. */
const INDEPENDENT = 4;

/**
 * Records of all cells of a survey (see `CellMeans`), without spikes, in shared memory. Takes some 60 ms for
 * a million rows, once per survey.
 */
export function meansOf(
  { count, lat, lon, depth, pass, weight }: Soundings,
  table: CellTable,
  cellOf: Int32Array,
): Float64Array {
  const [perLat, perLon] = metersPerDegree(count > 0 ? lat[0] : 0);
  const spike = findSpikes({ count, depth, pass, east: lon, north: lat }, passRuns(pass, count), [
    perLon,
    perLat,
  ]);
  const out = new Float64Array(sharedMemory(8 * CELL_WIDTH * table.count));
  for (let i = 0; i < count; i++) {
    if (cellOf[i] < 0 || spike[i] === 1 || !(depth[i] < Number.POSITIVE_INFINITY)) continue;
    const cell = cellOf[i] * CELL_WIDTH;
    const w = weight[i];
    out[cell + CELL.lat] += w * lat[i];
    out[cell + CELL.lon] += w * lon[i];
    out[cell + CELL.depth] += w * depth[i];
    out[cell + CELL.weight] += w;
    if (i === 0 || pass[i - 1] !== pass[i]) continue;
    const north = (lat[i] - lat[i - 1]) * perDegreeEast(0);
    const east = (lon[i] - lon[i - 1]) * perDegreeEast(table.north[cellOf[i]]);
    const step = SIDE * Math.sqrt(north * north + east * east);
    if (step >= MIN_STEP && step < LONGEST_STEP) out[cell + CELL.track] += step;
    if (i + 1 === count || pass[i + 1] !== pass[i] || spike[i - 1] === 1 || spike[i + 1] === 1) continue;
    out[cell + CELL.difference] +=
      Math.abs(depth[i - 1] - 2 * depth[i] + depth[i + 1]) * Math.sqrt(Math.min(w, INDEPENDENT));
    out[cell + CELL.differences]++;
  }
  for (let k = 0; k < table.count; k++) {
    const cell = k * CELL_WIDTH;
    out[cell + CELL.north] = table.north[k];
    out[cell + CELL.east] = table.east[k];
    for (const mean of [CELL.lat, CELL.lon, CELL.depth]) out[cell + mean] /= out[cell + CELL.weight];
  }
  return out;
}

/** Row range `[start, end)` of each pass. */
function passRuns(pass: Int32Array, count: number): [start: number, end: number][] {
  const runs: [number, number][] = [];
  let start = 0;
  for (let i = 1; i <= count; i++) {
    if (i < count && pass[i] === pass[i - 1]) continue;
    if (i > start) runs.push([start, i]);
    start = i;
  }
  return runs;
}

/**
 * Cells whose center is within `radius` meters of a place, ordered from south to north, then west to east.
 *
 * @returns undefined where passes are not crowded: there, a cell mean must not replace the soundings of its
 *   passes.
 */
export function crowdedCells(
  table: CellTable,
  cells: Float64Array,
  lat: number,
  lon: number,
  radius: number,
): CellMeans | undefined {
  if (!isPlace(lat, lon)) return undefined;
  const [perLat, perLon] = metersPerDegree(lat);
  const runs: number[] = [];
  let track = 0;
  const top = northOf(lat + radius / perLat);
  for (let north = northOf(lat - radius / perLat); north <= top; north++) {
    const middle = middleOf(north, lat) * perLat;
    const half = Math.sqrt(radius * radius - middle * middle);
    if (!(half > 0)) continue;
    const west = eastOf(north, lon - half / perLon);
    const [from, to] = cellsOfRow(table, north, west, eastOf(north, lon + half / perLon));
    runs.push(from, to);
    for (let cell = from; cell < to; cell++) track += cells[cell * CELL_WIDTH + CELL.track];
  }
  return track * CROWDED_SPACING < Math.PI * radius * radius ? undefined : { runs, cells };
}
