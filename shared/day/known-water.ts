import { range } from 'd3-array';
import type { Soundings } from '../contract/index.ts';
import {
  type Hours,
  holdsDuring,
  type LocalFrame,
  localFrame,
  type Polygon,
  type Zone,
} from '../geo/index.ts';

/** Place on a local plane, m. */
export type EastNorth = readonly [east: number, north: number];

/** Water of a lake in square cells of a local plane; row 0 is the southernmost. */
export interface KnownWater {
  readonly frame: LocalFrame;
  /** Cell size, m. */
  readonly size: number;
  /** East coordinate of the southwest corner, m. */
  readonly east: number;
  /** North coordinate of the southwest corner, m. */
  readonly north: number;
  readonly columns: number;
  readonly rows: number;
  /** State of each cell, one of `WATER`. */
  readonly state: Uint8Array;
  /** Speed limit of each cell, m/s; Infinity outside slow zones; absent without slow zones. */
  readonly limit?: Float32Array;
}

/** States of a cell. `known` and `unverified` are navigable; lines are drawn only over `known`. */
export const WATER = { unknown: 0, known: 1, unverified: 2, shallow: 3, closed: 4, land: 5 } as const;

export const isRunnable = (state: number): boolean => state === WATER.known || state === WATER.unverified;

export interface WaterInput {
  readonly soundings: Pick<Soundings, 'count' | 'lat' | 'lon' | 'shallowest'>;
  /** Minimum navigable depth, m: draft plus margin. */
  readonly leastDepth: number;
  /** Polygons of the lake, with islands as holes. */
  readonly shore?: readonly Polygon[];
  /** Places that the plane must contain, deg; places over 100 km from the first are ignored. */
  readonly places: readonly { readonly lat: number; readonly lon: number }[];
}

/** Maximum distance of known water from a sounding, except between passes, m; one cell if that is more. */
const BESIDE = 15;
/** Radius of the disk for the closing in `knownWater`, m. */
const BETWEEN = 20;
const FINEST_CELL = 5;
/** Approximate maximum number of cells; a larger plane has larger cells. */
const MAX_CELLS = 6e6;

/**
 * Finds the known water: cells within 15 m of a sounding, and cells between passes at most about 40 m apart.
 * A cell is shallow if any place in it may be within 20 m of a sounding shallower than `leastDepth`. Other
 * distances are to the center of a cell. On a large plane, where cells are larger than 15 or 20 m, one cell
 * size replaces these distances.
 *
 * Cells between passes are found by the closing of the soundings with a disk (Serra 1982, Image Analysis and
 * Mathematical Morphology). Cells on or outside a shoreline are land, even if sounded. Cells inside a
 * shoreline are unverified unless known or shallow.
 */
export function knownWater(input: WaterInput): KnownWater {
  const water = emptyWater(input);
  const { isShallow, nearest } = soundedCells(water, input);
  const near = nearUnsounded(water, nearest);
  for (let cell = 0; cell < nearest.length; cell++) {
    if (isShallow[cell] === 1) water.state[cell] = WATER.shallow;
    else if (nearest[cell] <= Math.max(BESIDE, water.size) || (near[cell] === 0 && nearest[cell] < Infinity))
      water.state[cell] = WATER.known;
  }
  if (input.shore !== undefined) withShore(water, input.shore);
  return water;
}

function withShore(water: KnownWater, shore: readonly Polygon[]): void {
  const isWet = new Uint8Array(water.state.length);
  fillPolygons(water, shore, (cell) => {
    isWet[cell] = 1;
  });
  // A cell that the shoreline crosses is part land.
  touchEdges(water, shore, (cell) => {
    isWet[cell] = 0;
  });
  water.state.forEach((state, cell) => {
    if (isWet[cell] === 0) water.state[cell] = WATER.land;
    else if (state === WATER.unknown) water.state[cell] = WATER.unverified;
  });
}

function emptyWater({ soundings, places, shore }: WaterInput): KnownWater {
  const lats = [...places.map(({ lat }) => lat), ...(shore ?? []).flat(2).map(([, lat]) => lat)];
  const lons = [...places.map(({ lon }) => lon), ...(shore ?? []).flat(2).map(([lon]) => lon)];
  const frame = localFrame(lats[0] ?? soundings.lat[0] ?? 0, lons[0] ?? soundings.lon[0] ?? 0);
  const box = { west: Infinity, south: Infinity, east: -Infinity, north: -Infinity };
  const include = (lat: number, lon: number): void => {
    const [east, north] = frame.toLocal(lat, lon);
    if (Math.hypot(east, north) > FARTHEST) return;
    box.west = Math.min(box.west, east);
    box.east = Math.max(box.east, east);
    box.south = Math.min(box.south, north);
    box.north = Math.max(box.north, north);
  };
  for (const [at, lat] of lats.entries()) include(lat, lons[at]);
  for (let row = 0; row < soundings.count; row++) include(soundings.lat[row], soundings.lon[row]);
  if (box.west === Infinity) include(frame.lat, frame.lon);
  const spread = (box.east - box.west + 4 * MARGIN) * (box.north - box.south + 4 * MARGIN);
  const size = Math.max(FINEST_CELL, Math.sqrt(spread / MAX_CELLS));
  const columns = Math.ceil((box.east - box.west + 4 * MARGIN) / size);
  const rows = Math.ceil((box.north - box.south + 4 * MARGIN) / size);
  const state = new Uint8Array(columns * rows);
  return { frame, size, east: box.west - 2 * MARGIN, north: box.south - 2 * MARGIN, columns, rows, state };
}

/** Half the width of the border around soundings, places and shoreline, m. */
const MARGIN = 30;
/** Maximum distance from the first place, m; anything farther away is taken to belong to another lake. */
const FARTHEST = 100_000;

/**
 * Finds for each cell the distance from its center to the nearest sounding (`nearest`), m, up to 20 m or one
 * cell size, whichever is more; Infinity beyond. `isShallow` is 1 where the cell reaches within that distance
 * of a shallow sounding.
 */
function soundedCells(
  water: KnownWater,
  { soundings, leastDepth }: WaterInput,
): { isShallow: Uint8Array; nearest: Float32Array } {
  const { frame, size, columns, rows } = water;
  const isShallow = new Uint8Array(columns * rows);
  const nearest = new Float32Array(columns * rows).fill(Infinity);
  const span = Math.max(BETWEEN, size) / size;
  for (let sounding = 0; sounding < soundings.count; sounding++) {
    const [east, north] = frame.toLocal(soundings.lat[sounding], soundings.lon[sounding]);
    const x = (east - water.east) / size;
    const y = (north - water.north) / size;
    const shallow = soundings.shallowest[sounding] < leastDepth ? 1 : 0;
    // A corner of a cell is up to half a diagonal closer than its center.
    const reach = span + shallow * Math.SQRT1_2;
    const lastColumn = Math.min(columns - 1, x + reach);
    for (let row = Math.max(0, Math.floor(y - reach)); row <= Math.min(rows - 1, y + reach); row++) {
      for (let column = Math.max(0, Math.floor(x - reach)); column <= lastColumn; column++) {
        const distance = Math.hypot(column + 0.5 - x, row + 0.5 - y);
        if (distance > reach) continue;
        const cell = row * columns + column;
        isShallow[cell] |= shallow;
        if (distance <= span && distance * size < nearest[cell]) nearest[cell] = distance * size;
      }
    }
  }
  return { isShallow, nearest };
}

/**
 * Marks with 1 each sounded cell less than 20 m from an unsounded cell, that is, one where `nearest` is
 * Infinity. Unsounded cells may be marked or not.
 */
function nearUnsounded({ columns, rows, size }: KnownWater, nearest: Float32Array): Uint8Array {
  const near = new Uint8Array(nearest.length);
  const reach = BETWEEN / size;
  const isUnsounded = (column: number, row: number): boolean => nearest[row * columns + column] === Infinity;
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      // Unsounded cells with a sounded neighbor suffice: the unsounded cell nearest to a sounded cell is
      // always one of them.
      const isEdge =
        (column > 0 && !isUnsounded(column - 1, row)) ||
        (column < columns - 1 && !isUnsounded(column + 1, row)) ||
        (row > 0 && !isUnsounded(column, row - 1)) ||
        (row < rows - 1 && !isUnsounded(column, row + 1));
      if (!isEdge || !isUnsounded(column, row)) continue;
      for (let y = Math.max(0, Math.ceil(row - reach)); y <= Math.min(rows - 1, row + reach); y++)
        for (let x = Math.max(0, Math.ceil(column - reach)); x <= Math.min(columns - 1, column + reach); x++)
          if ((x - column) ** 2 + (y - row) ** 2 < reach ** 2) near[y * columns + x] = 1;
    }
  }
  return near;
}

/** Applies the zones that hold during the hours. A cell touched by a closed zone is closed. */
export function withZones(known: KnownWater, all: readonly Zone[], hours: Hours): KnownWater {
  const zones = all.filter((zone) => holdsDuring(zone, hours));
  if (zones.length === 0) return known;
  const [state, limit] = [known.state.slice(), new Float32Array(known.state.length).fill(Infinity)];
  for (const { polygons, rule, speed } of zones) {
    const apply = (cell: number): void => {
      if (rule === 'closed') state[cell] = WATER.closed;
      else limit[cell] = Math.min(limit[cell], speed ?? Infinity);
    };
    fillPolygons(known, polygons, apply);
    touchEdges(known, polygons, apply);
  }
  return { ...known, state, limit: zones.some(({ rule }) => rule === 'slow') ? limit : undefined };
}

/** Visits every cell whose center is inside the polygons. */
function fillPolygons(water: KnownWater, polygons: readonly Polygon[], visit: (cell: number) => void): void {
  const { frame, columns, rows } = water;
  const local = polygons.map((polygon) =>
    polygon.map((ring) => ring.map(([lon, lat]) => frame.toLocal(lat, lon))),
  );
  const norths = local.flat(2).map(([, north]) => north);
  const first = Math.max(0, rowOf(water, Math.min(...norths)));
  const last = Math.min(rows - 1, rowOf(water, Math.max(...norths)));
  for (let row = first; row <= last; row++) {
    const north = water.north + (row + 0.5) * water.size;
    for (const polygon of local) {
      const cuts = polygon.flatMap((ring) => cutsOf(ring, north)).sort((a, b) => a - b);
      for (let at = 0; at + 1 < cuts.length; at += 2) {
        const from = Math.max(0, Math.ceil((cuts[at] - water.east) / water.size - 0.5));
        const to = Math.min(columns - 1, Math.floor((cuts[at + 1] - water.east) / water.size - 0.5));
        for (let column = from; column <= to; column++) visit(row * columns + column);
      }
    }
  }
}

/** Returns the east coordinate of each crossing of a ring with a line of constant north. */
function cutsOf(ring: readonly (readonly [number, number])[], north: number): number[] {
  const cuts: number[] = [];
  for (let at = 1; at < ring.length; at++) {
    const [e1, n1] = ring[at - 1];
    const [e2, n2] = ring[at];
    if (n1 > north !== n2 > north) cuts.push(e1 + ((north - n1) / (n2 - n1)) * (e2 - e1));
  }
  return cuts;
}

/** Visits every cell that an edge of the polygons passes through. */
function touchEdges(water: KnownWater, polygons: readonly Polygon[], visit: (cell: number) => void): void {
  for (const ring of polygons.flat()) {
    for (let at = 1; at < ring.length; at++) {
      const from = water.frame.toLocal(ring[at - 1][1], ring[at - 1][0]);
      const to = water.frame.toLocal(ring[at][1], ring[at][0]);
      cellsAlong(water, from, to, (cell) => {
        if (cell >= 0) visit(cell);
        return true;
      });
    }
  }
}

const rowOf = ({ north, size }: KnownWater, at: number): number => Math.floor((at - north) / size);

/** Returns the cell that contains a place; -1 outside the plane. */
export function cellAt(water: KnownWater, [east, north]: EastNorth): number {
  const column = Math.floor((east - water.east) / water.size);
  const row = rowOf(water, north);
  const isIn = column >= 0 && row >= 0 && column < water.columns && row < water.rows;
  return isIn ? row * water.columns + column : -1;
}

export const cellCenter = (water: KnownWater, cell: number): EastNorth => [
  water.east + ((cell % water.columns) + 0.5) * water.size,
  water.north + (Math.floor(cell / water.columns) + 0.5) * water.size,
];

/** Finds cells of a kind in a square about a place, nearest first. @param reach Half the square's side, m. */
export function cellsNear(
  water: KnownWater,
  [east, north]: EastNorth,
  reach: number,
  isOfKind: (cell: number) => boolean,
): { readonly cell: number; readonly at: EastNorth; readonly distance: number }[] {
  const steps = range(-Math.ceil(reach / water.size), Math.ceil(reach / water.size) + 1);
  return steps
    .flatMap((up) =>
      steps.map((along) => cellAt(water, [east + along * water.size, north + up * water.size])),
    )
    .filter((cell) => cell >= 0 && isOfKind(cell))
    .map((cell) => {
      const at = cellCenter(water, cell);
      return { cell, at, distance: Math.hypot(at[0] - east, at[1] - north) };
    })
    .sort((a, b) => a.distance - b.distance);
}

/** Returns the time of a straight run, s; Infinity when the run leaves navigable water. @param speed m/s. */
export function secondsAlong(water: KnownWater, from: EastNorth, to: EastNorth, speed: number): number {
  let seconds = 0;
  const isClear = cellsAlong(water, from, to, (cell, length) => {
    seconds += length / Math.min(speed, water.limit?.[cell] ?? Infinity);
    return cell >= 0 && isRunnable(water.state[cell]);
  });
  return isClear ? seconds : Infinity;
}

/**
 * Visits every cell along a straight line, in order, until `visit` returns false.
 *
 * @param visit Receives the cell, or -1 outside the plane, and the length of the line inside the cell, m.
 * @returns false when `visit` stopped the walk.
 *
 * Source: Amanatides & Woo 1987, Eurographics, "A fast voxel traversal algorithm for ray tracing".
 */
export function cellsAlong(
  water: KnownWater,
  from: EastNorth,
  to: EastNorth,
  visit: (cell: number, length: number) => boolean,
): boolean {
  const x0 = (from[0] - water.east) / water.size;
  const y0 = (from[1] - water.north) / water.size;
  const dx = (to[0] - water.east) / water.size - x0;
  const dy = (to[1] - water.north) / water.size - y0;
  const length = Math.hypot(dx, dy) * water.size;
  let [column, row] = [Math.floor(x0), Math.floor(y0)];
  const [stepX, stepY] = [Math.sign(dx), Math.sign(dy)];
  let nextX = dx === 0 ? Infinity : ((stepX > 0 ? column + 1 : column) - x0) / dx;
  let nextY = dy === 0 ? Infinity : ((stepY > 0 ? row + 1 : row) - y0) / dy;
  for (let done = 0; ; ) {
    const next = Math.min(nextX, nextY, 1);
    const isIn = column >= 0 && row >= 0 && column < water.columns && row < water.rows;
    if (!visit(isIn ? row * water.columns + column : -1, (next - done) * length)) return false;
    if (next >= 1) return true;
    done = next;
    if (nextX <= nextY) {
      column += stepX;
      nextX += Math.abs(1 / dx);
    } else {
      row += stepY;
      nextY += Math.abs(1 / dy);
    }
  }
}
