import { findSpikes } from './bottom/spikes.ts';
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
import type { CellMeans, Soundings } from './contract/soundings.ts';
import { metersPerDegree } from './soundings/steps.ts';

/** Passes closer than this on the mean, m, crowd a neighborhood: only there are cells an answer. */
const CROWDED_SPACING = 5;
/** Steps of a pass that count as track, m: shorter ones are a boat at rest, longer ones a gap. */
const LEAST_STEP = 2;
const LONGEST_STEP = 20;
/** Soundings beyond which a row's mean scatters no less; see `noise.ts`. */
const INDEPENDENT = 4;

/** Means by cell, in shared memory; see `CellMeans`. */
export type MeanColumns = Pick<
  CellMeans,
  'lat' | 'lon' | 'depth' | 'weight' | 'track' | 'difference' | 'differences'
>;

/** Means over all cells of a survey, spikes left out: some 60 ms for a million rows, once. */
export function meansOf(
  { count, lat, lon, depth, pass, weight }: Soundings,
  table: CellTable,
  cellOf: Int32Array,
): MeanColumns {
  const [perLat, perLon] = metersPerDegree(count > 0 ? lat[0] : 0);
  const spike = findSpikes({ count, depth, pass, east: lon, north: lat }, passRuns(pass, count), [
    perLon,
    perLat,
  ]);
  const column = (): Float64Array => new Float64Array(new SharedArrayBuffer(8 * table.count));
  const out = {
    lat: column(),
    lon: column(),
    depth: column(),
    weight: column(),
    track: column(),
    difference: column(),
    differences: column(),
  };
  for (let i = 0; i < count; i++) {
    const cell = cellOf[i];
    if (cell < 0 || spike[i] === 1 || !(depth[i] < Number.POSITIVE_INFINITY)) continue;
    const w = weight[i];
    out.lat[cell] += w * lat[i];
    out.lon[cell] += w * lon[i];
    out.depth[cell] += w * depth[i];
    out.weight[cell] += w;
    if (i === 0 || pass[i - 1] !== pass[i]) continue;
    const north = (lat[i] - lat[i - 1]) * perDegreeEast(0);
    const east = (lon[i] - lon[i - 1]) * perDegreeEast(table.north[cell]);
    const step = SIDE * Math.sqrt(north * north + east * east);
    if (step >= LEAST_STEP && step < LONGEST_STEP) out.track[cell] += step;
    if (i + 1 === count || pass[i + 1] !== pass[i] || spike[i - 1] === 1 || spike[i + 1] === 1) continue;
    out.difference[cell] +=
      Math.abs(depth[i - 1] - 2 * depth[i] + depth[i + 1]) * Math.sqrt(Math.min(w, INDEPENDENT));
    out.differences[cell]++;
  }
  for (const mean of [out.lat, out.lon, out.depth])
    for (let cell = 0; cell < table.count; cell++) mean[cell] /= out.weight[cell];
  return out;
}

/** Rows of each pass: `[start, end)`. */
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
 * Cells with their middle within `radius` meters of a place, from west to east and south to north.
 *
 * @returns undefined where passes do not crowd: a cell must then not stand for its passes.
 */
export function crowdedCells(
  table: CellTable,
  means: MeanColumns,
  lat: number,
  lon: number,
  radius: number,
): CellMeans | undefined {
  if (!isPlace(lat, lon)) return undefined;
  const { runs, count } = cellRuns(table, lat, lon, radius);
  const found = new Int32Array(count);
  let size = 0;
  let track = 0;
  for (let run = 0; run < runs.length; run += 2) {
    for (let cell = runs[run]; cell < runs[run + 1]; cell++) {
      if (!(means.weight[cell] > 0)) continue;
      found[size++] = cell;
      track += means.track[cell];
    }
  }
  if (track * CROWDED_SPACING < Math.PI * radius * radius) return undefined;
  const { north, east } = table;
  return { near: found.subarray(0, size), side: SIDE, north, east, ...means };
}

/** The same, empty cells too, as runs `[from, to)` one behind the other, and how many they are. */
function cellRuns(
  table: CellTable,
  lat: number,
  lon: number,
  radius: number,
): { runs: number[]; count: number } {
  const [perLat, perLon] = metersPerDegree(lat);
  const runs: number[] = [];
  let count = 0;
  const top = northOf(lat + radius / perLat);
  for (let north = northOf(lat - radius / perLat); north <= top; north++) {
    const middle = middleOf(north, lat) * perLat;
    const half = Math.sqrt(radius * radius - middle * middle);
    if (!(half > 0)) continue;
    const west = eastOf(north, lon - half / perLon);
    const [from, to] = cellsOfRow(table, north, west, eastOf(north, lon + half / perLon));
    runs.push(from, to);
    count += to - from;
  }
  return { runs, count };
}
