import type { Soundings } from '../contract/index.ts';
import { type LocalFrame, localFrame } from '../geo/index.ts';
import { bilinear } from '../math/index.ts';
import { type Bins, binPasses } from './bins.ts';
import { gaussianMean, gradient, type Lattice } from './raster.ts';
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

/** Largest lattice: 17 by 17 km at 5 m, about 1 GiB. */
const MOST_NODES = 12_000_000;
/** Nodes of a tile, and of the margin that it shares with its neighbors on each side. */
const TILE = 40;
const MARGIN = 8;
/** Width of the blend between tiles, nodes. */
const BLEND = 4;

/** Draws of a round that learns how the bottom bends, and rounds. */
const LEARNING_DRAWS = 4;
const ROUNDS = 2;
/** First guess of the standard deviation of second derivatives, 1/m. */
const FIRST_BENDING = 0.005;
/** Window over which bending is taken as even, m, and the share of the whole lake's mean in it. */
const WINDOW = 30;
const LAKE_SHARE = 0.1;
/** Window over which the fall line is taken as straight, m. */
const FALL_LINE_WINDOW = 20;
/**
 * What the learned variances are multiplied by. The draws that they are learned from follow the sheet's own penalty and so are
 * smoother than the bottom; the factors were chosen so that stated intervals hold (the design's measurement on bottoms with
 * passes 25 m apart).
 */
const LOOSEN = { uu: 20 / 3, uv: 20, vv: 60 };
/** Standard deviation of positions beside the track, m, and of depths by what bins do not share, m. */
const POSITION_ERROR = 1.05;
const DEPTH_ERROR = 0.05;

/** Shares of the squared second derivatives of a bottom that bends alike in all directions: along, across, and mixed (twice). */
const ISOTROPIC = { uu: 3 / 8, vv: 3 / 8, uv: 1 / 8 };

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
    [bending, slope] = learn(lattice, mask, mean, draws);
  }
  const loose = {
    ...bending,
    uu: bending.uu.map((value) => LOOSEN.uu * value),
    uv: bending.uv.map((value) => LOOSEN.uv * value),
    vv: bending.vv.map((value) => LOOSEN.vv * value),
  };
  const [mean, ...draws] = solveLake(sounded, loose, slope, options.draws, progressOf(ROUNDS));
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

interface LakeBending {
  readonly uu: Float64Array;
  readonly vv: Float64Array;
  readonly uv: Float64Array;
  readonly direction: Float64Array;
}

/** Bins in nodes of the lattice. */
interface NodePlaces {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

function layLattice(
  { count, east, north }: Bins,
  cell: number,
  reach: number,
): { lattice: Lattice; axis: number; x0: number; y0: number; nodes: NodePlaces } {
  const axis = mainDirection(east, north);
  const [c, s] = [Math.cos(axis), Math.sin(axis)];
  const x = Float64Array.from({ length: count }, (_, k) => c * east[k] + s * north[k]);
  const y = Float64Array.from({ length: count }, (_, k) => c * north[k] - s * east[k]);
  const least = (values: Float64Array): number => values.reduce((a, b) => Math.min(a, b), Infinity);
  const most = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), -Infinity);
  const margin = reach + 2 * cell;
  const [x0, y0] = [least(x) - margin, least(y) - margin];
  const columns = Math.ceil((most(x) + margin - x0) / cell) + 1;
  const rows = Math.ceil((most(y) + margin - y0) / cell) + 1;
  if (columns * rows > MOST_NODES) throw new RangeError('The soundings span too much ground for one grid');
  const nodes = { x: x.map((value) => (value - x0) / cell), y: y.map((value) => (value - y0) / cell) };
  return { lattice: { columns, rows, cell }, axis, x0, y0, nodes };
}

/** Direction that most of the track runs in, either way, rad in (-pi/2, pi/2]. */
function mainDirection(east: Float64Array, north: Float64Array): number {
  let [cos2, sin2] = [0, 0];
  for (let k = 1; k < east.length; k++) {
    const [dx, dy] = [east[k] - east[k - 1], north[k] - north[k - 1]];
    const step = Math.hypot(dx, dy);
    if (step === 0 || step > 15) continue;
    cos2 += (dx * dx - dy * dy) / step;
    sin2 += (2 * dx * dy) / step;
  }
  return Math.atan2(sin2, cos2) / 2;
}

/** m from each node to the nearest bin; infinite beyond reach. */
function nearestSounding({ columns, rows, cell }: Lattice, nodes: NodePlaces, reach: number): Float32Array {
  const distance = new Float32Array(columns * rows).fill(Number.POSITIVE_INFINITY);
  const span = reach / cell;
  for (let k = 0; k < nodes.x.length; k++) {
    const last = Math.min(rows - 1, Math.floor(nodes.y[k] + span));
    for (let y = Math.max(0, Math.ceil(nodes.y[k] - span)); y <= last; y++) {
      const dy = y - nodes.y[k];
      const half = Math.sqrt(Math.max(0, span * span - dy * dy));
      const to = Math.min(columns - 1, Math.floor(nodes.x[k] + half));
      for (let x = Math.max(0, Math.ceil(nodes.x[k] - half)); x <= to; x++) {
        const d = cell * Math.hypot(x - nodes.x[k], dy);
        if (d < distance[y * columns + x]) distance[y * columns + x] = d;
      }
    }
  }
  return distance;
}

function evenBending({ columns, rows }: Lattice): LakeBending {
  const even = new Float64Array(columns * rows).fill(FIRST_BENDING ** 2);
  return { uu: even, vv: even, uv: even, direction: new Float64Array(columns * rows) };
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

/** How the lake bends at each node, and how steep it is, from one round's mean and draws. */
function learn(
  lattice: Lattice,
  mask: Uint8Array,
  mean: Float64Array,
  draws: readonly Float64Array[],
): [LakeBending, Float64Array] {
  const [gx, gy] = gradient(lattice, mean);
  const window = (values: Float64Array): Float64Array =>
    gaussianMean(lattice, values, mask, FALL_LINE_WINDOW);
  const [xx, xy, yy] = [gx.map((g) => g * g), gx.map((g, k) => g * gy[k]), gy.map((g) => g * g)].map(window);
  // The fall line is the main axis of the structure tensor; u lies across it.
  const direction = xx.map((_, k) => Math.atan2(2 * xy[k], xx[k] - yy[k]) / 2 + Math.PI / 2);
  const squares = squaredBending(lattice, direction, draws);
  const local = (values: Float64Array, share: number): Float64Array => {
    const lake =
      values.reduce((sum, value, k) => sum + (mask[k] ? value : 0), 0) / mask.reduce((a, b) => a + b, 0);
    return gaussianMean(lattice, values, mask, WINDOW).map(
      (value) => ((1 - LAKE_SHARE) * value + LAKE_SHARE * lake) / share + 1e-12,
    );
  };
  const bending = {
    uu: local(squares.uu, ISOTROPIC.uu),
    vv: local(squares.vv, ISOTROPIC.vv),
    uv: local(squares.uv, ISOTROPIC.uv),
    direction,
  };
  return [bending, gx.map((g, k) => Math.hypot(g, gy[k]))];
}

function squaredBending(
  { columns, rows, cell }: Lattice,
  direction: Float64Array,
  draws: readonly Float64Array[],
): Record<'uu' | 'vv' | 'uv', Float64Array> {
  const out = {
    uu: new Float64Array(columns * rows),
    vv: new Float64Array(columns * rows),
    uv: new Float64Array(columns * rows),
  };
  for (let y = 1; y < rows - 1; y++)
    for (let x = 1; x < columns - 1; x++) {
      const k = y * columns + x;
      const [c, s] = [Math.cos(direction[k]), Math.sin(direction[k])];
      for (const z of draws) {
        const xx = (z[k - 1] - 2 * z[k] + z[k + 1]) / cell ** 2;
        const yy = (z[k - columns] - 2 * z[k] + z[k + columns]) / cell ** 2;
        const xy =
          (z[k + columns + 1] - z[k + columns - 1] - z[k - columns + 1] + z[k - columns - 1]) /
          (4 * cell ** 2);
        out.uu[k] += (c * c * xx + 2 * c * s * xy + s * s * yy) ** 2 / draws.length;
        out.vv[k] += (s * s * xx - 2 * c * s * xy + c * c * yy) ** 2 / draws.length;
        out.uv[k] += (-c * s * xx + (c * c - s * s) * xy + c * s * yy) ** 2 / draws.length;
      }
    }
  return out;
}

/** Standard deviation of the draws about the mean. */
function spread(mean: Float64Array, draws: readonly Float64Array[]): Float64Array {
  return mean.map((value, k) =>
    Math.sqrt(draws.reduce((sum, draw) => sum + (draw[k] - value) ** 2, 0) / Math.max(1, draws.length)),
  );
}

/** Value of a column of the grid at a place by bilinear interpolation; NaN where one of the four nodes is unknown. */
export function atPlace(grid: LakeGrid, values: ArrayLike<number>, lat: number, lon: number): number {
  const [east, north] = grid.frame.toLocal(lat, lon);
  const [c, s] = [Math.cos(grid.axis), Math.sin(grid.axis)];
  const x = (c * east + s * north - grid.x0) / grid.cell;
  const y = (c * north - s * east - grid.y0) / grid.cell;
  return bilinear(grid, values, x, y);
}
