import type { Soundings } from '../contract/index.ts';
import { type LocalFrame, localFrame } from '../geo/index.ts';
import { bilinear } from '../math/index.ts';
import { type Bins, binPasses } from './bins.ts';
import { evenBending, type LakeBending, learnBending, loosen } from './lake-bending.ts';
import { layLattice, type NodePlaces, nearestSounding } from './lay-lattice.ts';
import type { Lattice } from './raster.ts';
import { type Bending, solveSheet, type Tile, type TileData } from './sheet.ts';

/** The whole sounded bottom of a lake on one lattice, with samples of what it may be. */
export interface LakeGrid extends Lattice {
  readonly frame: LocalFrame;
  /** Direction of the lattice's first axis, rad from east toward north: along most passes. */
  readonly axis: number;
  /** Place of node (0, 0) along both axes from the frame's origin, m. */
  readonly x0: number;
  readonly y0: number;
  /** m, positive down; NaN where nothing was sounded within reach. */
  readonly depth: Float32Array;
  /** Standard deviation of the depth, m; NaN as above. */
  readonly sd: Float32Array;
  /** Equally likely bottoms, m; NaN as above. */
  readonly draws: readonly Float32Array[];
  /** m to the nearest sounding; infinite beyond reach. */
  readonly distance: Float32Array;
}

export interface LakeGridOptions {
  /** m between nodes. */
  readonly cell: number;
  /** Farthest from a sounding that a depth is given, m. */
  readonly reach: number;
  readonly draws: number;
}

export const LAKE_GRID: LakeGridOptions = { cell: 5, reach: 22, draws: 16 };

/** Nodes of a tile, and of the margin that it shares with its neighbors on each side. */
const TILE = 40;
const MARGIN = 8;
/** Width of the blend between tiles, nodes. */
const BLEND = 4;

/** Draws of a round that learns how the bottom bends, and rounds. */
const LEARNING_DRAWS = 4;
const ROUNDS = 2;
/** Standard deviation of positions beside the track, m, and of depths by what bins do not share, m. */
const POSITION_ERROR = 1.05;
const DEPTH_ERROR = 0.05;

/**
 * Bottom of the whole lake from its soundings: mean, standard deviation and draws on one lattice.
 *
 * @param soundings All soundings of the lake, from the plan's water surface, rows in the order they were taken.
 * @param progress Told the share of the work that is done, 0 to 1.
 * @returns undefined without soundings.
 * @throws RangeError when the ground between the outermost soundings has more than 12 million nodes.
 *
 * The lattice lies along most passes, so that a lake that is turned gives the same answer. How much the bottom bends is
 * learned from the soundings, locally and along and across the fall line, in two rounds. Work and memory grow linearly with
 * the sounded area.
 */
export function makeLakeGrid(
  soundings: Soundings,
  options: LakeGridOptions = LAKE_GRID,
  progress: (share: number) => void = () => {},
): LakeGrid | undefined {
  if (soundings.count === 0) return undefined;
  const middle = soundings.count >> 1;
  const frame = localFrame(soundings.lat[middle], soundings.lon[middle]);
  const bins = binPasses(soundings, frame);
  const place = layLattice(bins, options.cell, options.reach);
  const { lattice, nodes } = place;
  const distance = nearestSounding(lattice, nodes, options.reach);
  const mask = Uint8Array.from(distance, (d) => (d <= options.reach ? 1 : 0));
  const sounded = { lattice, bins, nodes, mask, byTile: binsByTile(nodes) };
  // A draw costs about a quarter of a factor, so rounds take about the share of the work that their draws do.
  const rounds = [...new Array<number>(ROUNDS).fill(LEARNING_DRAWS), options.draws];
  const cost = (round: number): number => rounds[round] + 4;
  const total = rounds.reduce((sum, _, round) => sum + cost(round), 0);
  const progressOf = (round: number) => (share: number) =>
    progress((rounds.slice(0, round).reduce((sum, _, k) => sum + cost(k), 0) + share * cost(round)) / total);
  let bending = evenBending(lattice);
  let slope: Float64Array = new Float64Array(mask.length);
  for (let round = 0; round < ROUNDS; round++) {
    const [mean, ...draws] = solveLake(sounded, bending, slope, LEARNING_DRAWS, progressOf(round));
    [bending, slope] = learnBending(lattice, mask, mean, draws);
  }
  const [mean, ...draws] = solveLake(sounded, loosen(bending), slope, options.draws, progressOf(ROUNDS));
  const sd = spread(mean, draws);
  const known = (values: Float64Array): Float32Array =>
    Float32Array.from(values, (value, k) => (mask[k] ? value : Number.NaN));
  return {
    ...lattice,
    frame,
    axis: place.axis,
    x0: place.x0,
    y0: place.y0,
    depth: known(mean),
    sd: known(sd),
    draws: draws.map(known),
    distance,
  };
}

/** What was sounded, on the lattice. */
interface Sounded {
  readonly lattice: Lattice;
  readonly bins: Bins;
  readonly nodes: NodePlaces;
  /** 1 at nodes within reach of a sounding. */
  readonly mask: Uint8Array;
  readonly byTile: ReadonlyMap<number, readonly number[]>;
}

/** Mean and draws over the whole lake, tile by tile, blended where tiles meet; 0 where no tile was sounded. */
function solveLake(
  sounded: Sounded,
  bending: LakeBending,
  slope: Float64Array,
  draws: number,
  progress: (share: number) => void,
): Float64Array[] {
  const { lattice, mask } = sounded;
  const { columns, rows } = lattice;
  const sums = Array.from({ length: draws + 1 }, () => new Float64Array(columns * rows));
  const weights = new Float64Array(columns * rows);
  const variance = binVariance(sounded, bending, slope);
  for (let ty = 0; ty * TILE < rows; ty++) {
    progress((ty * TILE) / rows);
    for (let tx = 0; tx * TILE < columns; tx++) {
      if (!isSounded(lattice, mask, tx, ty)) continue;
      const tile = tileAt(lattice, tx, ty);
      const part = (values: Float64Array): Float64Array => cut(lattice, tile, values);
      const bends: Bending = {
        uu: part(bending.uu),
        vv: part(bending.vv),
        uv: part(bending.uv),
        direction: part(bending.direction),
      };
      const solved = solveSheet(tile, dataOf(tile, sounded, variance, tx, ty), bends, draws);
      addTile(lattice, tile, tx, ty, solved, sums, weights);
    }
  }
  for (const sum of sums) for (let k = 0; k < sum.length; k++) if (weights[k] > 0) sum[k] /= weights[k];
  return sums;
}

/** Error variance of each bin: its own, what bins do not share, its place on the slope, and bending within a cell. */
function binVariance(
  { lattice: { columns, cell }, bins, nodes }: Sounded,
  bending: LakeBending,
  slope: Float64Array,
): Float64Array {
  return bins.variance.map((own, k) => {
    const node = Math.round(nodes.y[k]) * columns + Math.round(nodes.x[k]);
    return (
      own +
      DEPTH_ERROR ** 2 +
      (slope[node] * POSITION_ERROR) ** 2 +
      ((cell * cell) / 8) ** 2 * (bending.vv[node] / 2)
    );
  });
}

const tileKey = (tx: number, ty: number): number => ty * 100_000 + tx;

function binsByTile(nodes: NodePlaces): Map<number, number[]> {
  const byTile = new Map<number, number[]>();
  for (let k = 0; k < nodes.x.length; k++) {
    const key = tileKey(Math.floor(nodes.x[k] / TILE), Math.floor(nodes.y[k] / TILE));
    const list = byTile.get(key);
    if (list === undefined) byTile.set(key, [k]);
    else list.push(k);
  }
  return byTile;
}

function isSounded({ columns, rows }: Lattice, mask: Uint8Array, tx: number, ty: number): boolean {
  for (let y = ty * TILE; y < Math.min(rows, (ty + 1) * TILE); y++)
    for (let x = tx * TILE; x < Math.min(columns, (tx + 1) * TILE); x++)
      if (mask[y * columns + x]) return true;
  return false;
}

function tileAt({ columns, rows, cell }: Lattice, tx: number, ty: number): Tile {
  const x0 = Math.max(0, tx * TILE - MARGIN);
  const y0 = Math.max(0, ty * TILE - MARGIN);
  return {
    x0,
    y0,
    columns: Math.min(columns, (tx + 1) * TILE + MARGIN) - x0,
    rows: Math.min(rows, (ty + 1) * TILE + MARGIN) - y0,
    cell,
  };
}

/** The bins in a tile and its margin. */
function dataOf(
  tile: Tile,
  { bins, nodes, byTile }: Sounded,
  variance: Float64Array,
  tx: number,
  ty: number,
): TileData {
  const keys: number[] = [];
  for (const dy of [-1, 0, 1])
    for (const dx of [-1, 0, 1])
      for (const k of byTile.get(tileKey(tx + dx, ty + dy)) ?? []) {
        const [x, y] = [nodes.x[k] - tile.x0, nodes.y[k] - tile.y0];
        if (x >= 0 && y >= 0 && x <= tile.columns - 1 && y <= tile.rows - 1) keys.push(k);
      }
  return {
    key: keys,
    x: keys.map((k) => nodes.x[k] - tile.x0),
    y: keys.map((k) => nodes.y[k] - tile.y0),
    depth: keys.map((k) => bins.depth[k]),
    variance: keys.map((k) => variance[k]),
  };
}

function cut({ columns }: Lattice, tile: Tile, values: Float64Array): Float64Array {
  const out = new Float64Array(tile.columns * tile.rows);
  for (let y = 0; y < tile.rows; y++) {
    const from = (tile.y0 + y) * columns + tile.x0;
    out.set(values.subarray(from, from + tile.columns), y * tile.columns);
  }
  return out;
}

/** Weight of a tile at a node: 1 inside, falling to 0 over the blend about its edges. */
function blendWeight(at: number, from: number, to: number): number {
  const inside = Math.min(at - (from - BLEND / 2), to - 1 + BLEND / 2 - at) + 0.5;
  return Math.max(0, Math.min(1, inside / BLEND));
}

function addTile(
  { columns }: Lattice,
  tile: Tile,
  tx: number,
  ty: number,
  solved: readonly Float64Array[],
  sums: readonly Float64Array[],
  weights: Float64Array,
): void {
  for (let y = 0; y < tile.rows; y++) {
    const wy = blendWeight(tile.y0 + y, ty * TILE, (ty + 1) * TILE);
    if (wy === 0) continue;
    for (let x = 0; x < tile.columns; x++) {
      const weight = wy * blendWeight(tile.x0 + x, tx * TILE, (tx + 1) * TILE);
      if (weight === 0) continue;
      const node = (tile.y0 + y) * columns + tile.x0 + x;
      weights[node] += weight;
      for (let k = 0; k < sums.length; k++) sums[k][node] += weight * solved[k][y * tile.columns + x];
    }
  }
}

/** Standard deviation of the draws about the mean. */
function spread(mean: Float64Array, draws: readonly Float64Array[]): Float64Array {
  return mean.map((value, k) =>
    Math.sqrt(draws.reduce((sum, draw) => sum + (draw[k] - value) ** 2, 0) / Math.max(1, draws.length)),
  );
}

/** Value of a column of the grid at a place by bilinear interpolation; NaN where one of the four nodes is unknown. */
export function atPlace(grid: LakeGrid, values: ArrayLike<number>, lat: number, lon: number): number {
  return bilinear(grid, values, ...nodePlace(grid, lat, lon));
}

/** The node nearest to a place; undefined off the lattice. */
export function nodeAt(grid: LakeGrid, lat: number, lon: number): number | undefined {
  const [x, y] = nodePlace(grid, lat, lon).map(Math.round);
  return x >= 0 && y >= 0 && x < grid.columns && y < grid.rows ? y * grid.columns + x : undefined;
}

/** A place in nodes from node (0, 0). */
function nodePlace(grid: LakeGrid, lat: number, lon: number): [x: number, y: number] {
  const [east, north] = grid.frame.toLocal(lat, lon);
  const [c, s] = [Math.cos(grid.axis), Math.sin(grid.axis)];
  return [(c * east + s * north - grid.x0) / grid.cell, (c * north - s * east - grid.y0) / grid.cell];
}
