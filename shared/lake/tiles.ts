import type { BinErrors } from './bin-errors.ts';
import type { Bins } from './bins.ts';
import type { LakeBending } from './lake-bending.ts';
import type { PlacedLattice } from './place-lattice.ts';
import { cutOut } from './raster.ts';
import type { Bending, Tile, TileData } from './sheet.ts';

/** Work for one tile as plain data, containing everything that the answer depends on. */
export interface TileTask {
  readonly tile: Tile;
  readonly data: TileData;
  readonly bending: Bending;
  readonly draws: number;
  /** The part of the tile that is used, in nodes of the tile. */
  readonly window: Window;
}

export interface Window {
  readonly x: number;
  readonly y: number;
  readonly columns: number;
  readonly rows: number;
}

/** Number of columns of a tile: few, because the work per node grows with the square of this number. */
const WIDTH = 16;
/** Number of rows of a tile: many, so that margins are a small share of the work. */
const LENGTH = 96;
/** Width of the margin around a tile along the first axis, m; most passes run along this axis. */
const MARGIN_ALONG = 35;
/** Width of the margin along the second axis, m: wider, because the next pass lies in this direction. */
const MARGIN_ACROSS = 40;
const MIN_MARGIN = 4;
const MAX_PASSES = 128;
/** Width of the blend between tiles, nodes. */
const BLEND = 4;

/** Column and row of a tile in the infinite lattice, counted in tiles. */
export interface TilePlace {
  readonly tx: number;
  readonly ty: number;
}

/** Finds the tiles whose window has a node in `mask`, row by row. */
export function soundedTiles(
  { lattice: { columns, rows }, column0, row0 }: PlacedLattice,
  mask: Uint8Array,
): TilePlace[] {
  const places: TilePlace[] = [];
  for (let ty = Math.floor(row0 / LENGTH); ty * LENGTH < row0 + rows; ty++)
    for (let tx = Math.floor(column0 / WIDTH); tx * WIDTH < column0 + columns; tx++) {
      const [x, width] = span(tx, WIDTH, BLEND / 2, column0, columns);
      const [y, height] = span(ty, LENGTH, BLEND / 2, row0, rows);
      const isSounded = (row: number): boolean =>
        mask.subarray(row * columns + x, row * columns + x + width).includes(1);
      if (Array.from({ length: height }, (_, k) => y + k).some(isSounded)) places.push({ tx, ty });
    }
  return places;
}

/** Bins by tile, sorted by position, so that the order of the passes does not matter. */
export class BinsByTile {
  readonly #byTile = new Map<string, Int32Array>();

  constructor({ nodes: { x, y }, column0, row0 }: PlacedLattice) {
    const lists = new Map<string, number[]>();
    for (let k = 0; k < x.length; k++) {
      const key = `${Math.floor((x[k] + column0) / WIDTH)} ${Math.floor((y[k] + row0) / LENGTH)}`;
      const list = lists.get(key);
      if (list === undefined) lists.set(key, [k]);
      else list.push(k);
    }
    for (const [key, list] of lists)
      this.#byTile.set(
        key,
        Int32Array.from(list).sort((a, b) => y[a] - y[b] || x[a] - x[b]),
      );
  }

  near({ tx, ty }: TilePlace): Int32Array[] {
    const tiles = [-1, 0, 1].flatMap((dy) =>
      [-1, 0, 1].map((dx) => this.#byTile.get(`${tx + dx} ${ty + dy}`)),
    );
    return tiles.filter((tile) => tile !== undefined);
  }
}

export function tileTask(
  laid: PlacedLattice,
  { tx, ty }: TilePlace,
  bins: Bins,
  near: readonly Int32Array[],
  errors: BinErrors,
  bending: LakeBending,
  draws: number,
): TileTask {
  const { lattice, column0, row0, nodes } = laid;
  const [x0, columns] = span(tx, WIDTH, nodesOf(MARGIN_ALONG, lattice), column0, lattice.columns);
  const [y0, rows] = span(ty, LENGTH, nodesOf(MARGIN_ACROSS, lattice), row0, lattice.rows);
  const [wx, windowColumns] = span(tx, WIDTH, BLEND / 2, column0, lattice.columns);
  const [wy, windowRows] = span(ty, LENGTH, BLEND / 2, row0, lattice.rows);
  const inside: number[] = [];
  for (const tile of near)
    for (const k of tile) {
      const [x, y] = [nodes.x[k] - x0, nodes.y[k] - y0];
      if (x >= 0 && y >= 0 && x <= columns - 1 && y <= rows - 1) inside.push(k);
    }
  const of = (column: Float64Array, from = 0): Float64Array => {
    const out = new Float64Array(inside.length);
    for (let i = 0; i < out.length; i++) out[i] = column[inside[i]] - from;
    return out;
  };
  const cut = (values: Float64Array): Float64Array => cutOut(values, lattice.columns, x0, y0, columns, rows);
  return {
    tile: { x0: x0 + column0, y0: y0 + row0, columns, rows, cell: lattice.cell },
    data: {
      x: of(nodes.x, x0),
      y: of(nodes.y, y0),
      depth: of(bins.depth),
      shared: of(errors.shared),
      ...passesOf(inside, bins, errors),
    },
    bending: {
      uu: cut(bending.uu),
      vv: cut(bending.vv),
      uv: cut(bending.uv),
      direction: cut(bending.direction),
    },
    draws,
    window: { x: wx - x0, y: wy - y0, columns: windowColumns, rows: windowRows },
  };
}

const nodesOf = (margin: number, { cell }: PlacedLattice['lattice']): number =>
  Math.max(MIN_MARGIN, Math.round(margin / cell));

/**
 * Numbers the longest passes of a tile, at most `MAX_PASSES`, in the order of the tile's bins. The shared
 * error of any other pass becomes part of the own error of each of its bins.
 */
function passesOf(
  inside: readonly number[],
  { pass }: Bins,
  { own, shared, passKeys }: BinErrors,
): Pick<TileData, 'variance' | 'pass' | 'passKeys'> {
  const lengths = new Map<number, number>();
  for (const k of inside) lengths.set(pass[k], (lengths.get(pass[k]) ?? 0) + 1);
  const keyOf = (number: number): number => passKeys.get(number) ?? 0;
  const longest = [...lengths]
    .sort(([a, some], [b, others]) => others - some || keyOf(a) - keyOf(b))
    .slice(0, MAX_PASSES);
  const kept = new Set(longest.map(([number]) => number));
  const here = [...lengths.keys()].filter((number) => kept.has(number));
  const numbers = new Map(here.map((number, k) => [number, k]));
  return {
    variance: Float64Array.from(inside, (k) => own[k] + (kept.has(pass[k]) ? 0 : shared[k] ** 2)),
    pass: Int32Array.from(inside, (k) => numbers.get(pass[k]) ?? -1),
    passKeys: Int32Array.from(here, keyOf),
  };
}

/**
 * Finds the nodes of tile `t` and its margin on one axis, clipped to the lattice.
 *
 * @param first Index of the lattice's first node in the infinite lattice.
 * @param count Number of nodes of the lattice on this axis.
 */
function span(
  t: number,
  size: number,
  margin: number,
  first: number,
  count: number,
): [from: number, count: number] {
  const from = Math.max(0, t * size - margin - first);
  return [from, Math.min(count, (t + 1) * size + margin - first) - from];
}

/** Sums the weights of all tiles at each node; `addTile` divides the weight of a tile by this sum. */
export function blendWeights(laid: PlacedLattice, places: readonly TilePlace[]): Float32Array {
  const weights = new Float32Array(laid.lattice.columns * laid.lattice.rows);
  for (const place of places)
    eachBlended(laid, place, (node, weight) => {
      weights[node] += weight;
    });
  return weights;
}

/** Adds a solved tile to the mean and the draws of the lake. @param solved As `solveTile` returns it. */
export function addTile(
  laid: PlacedLattice,
  place: TilePlace,
  solved: Float32Array,
  weights: Float32Array,
  bottoms: readonly Float32Array[],
): void {
  const size = solved.length / bottoms.length;
  const [nodes, places, shares] = [new Int32Array(size), new Int32Array(size), new Float64Array(size)];
  let count = 0;
  eachBlended(laid, place, (node, weight, at) => {
    nodes[count] = node;
    places[count] = at;
    shares[count++] = weight / weights[node];
  });
  bottoms.forEach((bottom, k) => {
    for (let i = 0; i < count; i++) bottom[nodes[i]] += shares[i] * solved[k * size + places[i]];
  });
}

/**
 * Calls `use` for every node of a tile's window, with the weight of the tile and the node's index in the
 * window. The weight is 1 inside and falls to 0 across the blend at the edges.
 */
function eachBlended(
  { lattice: { columns, rows }, column0, row0 }: PlacedLattice,
  { tx, ty }: TilePlace,
  use: (node: number, weight: number, at: number) => void,
): void {
  const [x0, width] = span(tx, WIDTH, BLEND / 2, column0, columns);
  const [y0, height] = span(ty, LENGTH, BLEND / 2, row0, rows);
  for (let y = 0; y < height; y++) {
    const wy = blendWeight(y0 + y + row0, ty * LENGTH, (ty + 1) * LENGTH);
    for (let x = 0; x < width; x++) {
      const weight = wy * blendWeight(x0 + x + column0, tx * WIDTH, (tx + 1) * WIDTH);
      if (weight > 0) use((y0 + y) * columns + x0 + x, weight, y * width + x);
    }
  }
}

function blendWeight(at: number, from: number, to: number): number {
  const inside = Math.min(at - (from - BLEND / 2), to - 1 + BLEND / 2 - at) + 0.5;
  return Math.max(0, Math.min(1, inside / BLEND));
}
