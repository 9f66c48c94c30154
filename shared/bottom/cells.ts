import { CELL, CELL_WIDTH, type CellMeans } from '../contract/index.ts';
import { localFrame } from '../geo/index.ts';
import { type BlockedSoundings, emptyBlocks } from './blocks.ts';
import { noiseOf, usualNoise } from './noise.ts';

/** Track within this distance of the waypoint gives the pass spacing, m. */
const TRACK_RADIUS = 100;
/** Distances from the waypoint beyond which cells are merged two by two, and four by four, m. */
const TWO_BY_TWO = 28;
const FOUR_BY_FOUR = 60;

/**
 * Blocks from the lake's cells, for places where passes crowd: single cells near the waypoint, two by two and four by four
 * farther out.
 *
 * Each block counts as its own leg: the errors of many passes average out in it, so two blocks share little error.
 *
 * @param reach Distance from the waypoint to which the cells reach, m.
 */
export function blockCells(
  { runs, cells }: CellMeans,
  lat: number,
  lon: number,
  reach: number,
): BlockedSoundings {
  const radius = Math.min(TRACK_RADIUS, reach);
  const frame = localFrame(lat, lon);
  let most = 0;
  for (let run = 0; run < runs.length; run += 2) most += runs[run + 1] - runs[run];
  const groups = new Groups();
  const [east, north, depth, weight, rough, roughs] = Array.from({ length: 6 }, () => new Float64Array(most));
  let [length, soundings, allRough, allRoughs] = [0, 0, 0, 0];
  for (let run = 0; run < runs.length; run += 2) {
    for (let at = runs[run] * CELL_WIDTH; at < runs[run + 1] * CELL_WIDTH; at += CELL_WIDTH) {
      const w = cells[at + CELL.weight];
      if (!(w > 0)) continue;
      const [e, n] = frame.toLocal(cells[at + CELL.lat], cells[at + CELL.lon]);
      const square = e * e + n * n;
      if (square < radius * radius) length += cells[at + CELL.track];
      const block = groups.of(cells[at + CELL.north], cells[at + CELL.east], square);
      east[block] += w * e;
      north[block] += w * n;
      depth[block] += w * cells[at + CELL.depth];
      weight[block] += w;
      rough[block] += cells[at + CELL.difference];
      roughs[block] += cells[at + CELL.differences];
      soundings += w;
      allRough += cells[at + CELL.difference];
      allRoughs += cells[at + CELL.differences];
    }
  }
  const { count } = groups;
  const mean = (sum: Float64Array): Float64Array =>
    sum.subarray(0, count).map((value, block) => value / weight[block]);
  const usual = usualNoise(allRough, allRoughs);
  const noise = Float64Array.from({ length: count }, (_, block) =>
    noiseOf(rough[block], roughs[block], usual),
  );
  return {
    blocks: {
      ...emptyBlocks(count),
      east: mean(east),
      north: mean(north),
      depth: mean(depth),
      weight: weight.subarray(0, count),
      noise,
      leg: Int32Array.from({ length: count }, (_, block) => block),
    },
    passSpacing: (Math.PI * radius * radius) / Math.max(length, 1),
    soundings: Math.round(soundings),
    bend: 0,
  };
}

/** Larger than any number of rows, or of cells in a row, so that keys are distinct. */
const KEYS = 2 ** 24;

/** Assigns cells to blocks, which are numbered from 0 in the order they appear. */
class Groups {
  count = 0;
  private readonly blocks = new Map<number, number>();

  /** Block of a cell. @param square Squared distance from the waypoint, m^2. */
  of(north: number, east: number, square: number): number {
    if (square < TWO_BY_TWO * TWO_BY_TWO) return this.count++;
    const level = square < FOUR_BY_FOUR * FOUR_BY_FOUR ? 1 : 2;
    const key = (level * KEYS + (north >> level)) * KEYS + (east >> level);
    const known = this.blocks.get(key);
    if (known !== undefined) return known;
    this.blocks.set(key, this.count);
    return this.count++;
  }
}
