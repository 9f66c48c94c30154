import type { CellMeans } from '../contract/soundings.ts';
import { localFrame } from '../geodesy/local-frame.ts';
import type { Blocks } from './blocks.ts';
import { noiseOf, usualNoise } from './noise.ts';

/** Track within this distance of the waypoint tells how far passes are apart, m. */
const TRACK_RADIUS = 100;
/** Distances from the waypoint up to which cells are put together so many each way, m. */
const MERGED: readonly (readonly [within: number, cells: number])[] = [
  [28, 1],
  [60, 2],
  [Number.POSITIVE_INFINITY, 4],
];
/** More rows of cells than there are within reach, and more cells in a row than there are on Earth. */
const ROWS = 1024;
const CELLS_OF_ROW = 2 ** 23;

/**
 * Cells of a crowded neighborhood as blocks: small near the waypoint, two by two and four by four further out.
 *
 * Each counts as a leg of its own: the errors of many passes have averaged out in it, so those of two cells have little
 * in common.
 *
 * @param reach Distance to which cells reach, m.
 */
export function mergeCells(
  cells: CellMeans,
  lat: number,
  lon: number,
  reach: number,
): { blocks: Blocks; passSpacing: number; soundings: number } {
  const frame = localFrame(lat, lon);
  const { count, weight, depth, track, difference, differences } = cells;
  const groups = new Map<number, number>();
  const east = new Float64Array(count);
  const north = new Float64Array(count);
  const sums = { depth: new Float64Array(count), weight: new Float64Array(count) };
  const rough = { sum: new Float64Array(count), count: new Float64Array(count) };
  const radius = Math.min(TRACK_RADIUS, reach);
  let length = 0;
  let soundings = 0;
  for (let i = 0; i < count; i++) {
    const [e, n] = frame.toLocal(cells.lat[i], cells.lon[i]);
    const square = e * e + n * n;
    if (square < radius * radius) length += track[i];
    const key = keyOf(cells.north[i], cells.east[i], square);
    const block = groups.get(key) ?? groups.size;
    groups.set(key, block);
    const w = weight[i];
    east[block] += w * e;
    north[block] += w * n;
    sums.depth[block] += w * depth[i];
    sums.weight[block] += w;
    rough.sum[block] += difference[i];
    rough.count[block] += differences[i];
    soundings += w;
  }
  const size = groups.size;
  const mean = (sum: Float64Array): Float64Array =>
    sum.subarray(0, size).map((value, block) => value / sums.weight[block]);
  const usual = usualNoise(total(difference), total(differences));
  return {
    passSpacing: (Math.PI * radius * radius) / Math.max(length, 1),
    soundings: Math.round(soundings),
    blocks: {
      count: size,
      east: mean(east),
      north: mean(north),
      depth: mean(sums.depth),
      weight: sums.weight.subarray(0, size),
      leg: Int32Array.from({ length: size }, (_, block) => block),
      wayEast: new Float64Array(size),
      wayNorth: new Float64Array(size),
      along: new Float64Array(size),
      noise: Float64Array.from({ length: size }, (_, block) =>
        noiseOf(rough.sum[block], rough.count[block], usual),
      ),
    },
  };
}

/** Number of the block that a cell at a squared distance belongs to. */
function keyOf(north: number, east: number, square: number): number {
  const level = MERGED.findIndex(([within]) => square < within * within);
  const side = MERGED[level][1];
  const row = Math.floor(north / side) & (ROWS - 1);
  return (level * ROWS + row) * CELLS_OF_ROW + Math.floor(east / side) + CELLS_OF_ROW / 2;
}

const total = (column: Float64Array): number => column.reduce((sum, value) => sum + value, 0);
