import { mean } from 'es-toolkit/math';
import Flatbush from 'flatbush';
import { METERS_PER, STRUCTURE_WORDS } from '../contract/index.ts';
import { FORM_SMOOTHING, type Lattice, type Terrain, terrainOf } from '../lake/index.ts';
import { bilinear, pickRows } from '../math/index.ts';

/** Names of the measures of a place, in m unless stated otherwise. A rise is a negative drop. */
export const MEASURES = [
  'depth',
  /** Minimum depth within casting distance. */
  'top',
  /** Maximum depth within casting distance. */
  'base',
  /** `base` minus `top`. */
  'relief',
  /** Slope at the place, deg. */
  'slope',
  /** Steepest slope within 15 m, deg. */
  'face',
  /** Distance to the nearest lip, at most 80. */
  'lip',
  /** Distance to the nearest thalweg, at most 80. */
  'channel',
  /** Mean drop to both sides at 25 m, along the contour. */
  'turn',
  /** Mean drop to both sides at 25 m, along the fall line. */
  'bend',
  /** Mean drop to both sides at 25 m, along the axis of the largest drop or rise. */
  'sharp',
  /** Mean drop to both sides at 75 m, along the axis of the largest drop or rise. */
  'wide',
  /** Mean drop to both sides at 75 m, at a right angle to the axis of `wide`. */
  'narrow',
] as const;
export type Measure = (typeof MEASURES)[number];

export interface MeasuredPlaces extends Readonly<Record<Measure, Float64Array>> {
  readonly count: number;
  readonly node: Int32Array;
}

export interface Places extends MeasuredPlaces {
  /** Structure word that a mark at the place would get, as an index into `STRUCTURE_WORDS`. */
  readonly word: Uint8Array;
}

const CAST = 150 * METERS_PER.ft;
const FACE = 15;
const RING = 25;
const WIDE_RING = 75;
/** Maximum of the measures `lip` and `channel`, m. */
const FAR = 80;
const DIRECTIONS = 16;

/** Tells whether a word names a structure rather than plain bottom. */
export const isStructure = (word: number): boolean =>
  STRUCTURE_WORDS[word] !== 'slope' && STRUCTURE_WORDS[word] !== 'flat';

/** Points along lips and thalwegs; coordinates are in nodes. */
export interface LinePlaces {
  readonly lip: readonly (readonly [x: number, y: number])[];
  readonly thalweg: readonly (readonly [x: number, y: number])[];
}

/** Measures the places at the nodes given; nodes without a depth are left out. */
export type MeasurePlaces = (nodes: ArrayLike<number>) => MeasuredPlaces;

/**
 * Prepares one bottom for measuring places.
 *
 * @param depth Depth by node, m, positive down; NaN where unknown.
 * @param linesOf Finds the lips and thalwegs, given the smoothed bottom.
 */
export function measurerOf(
  lattice: Lattice,
  depth: ArrayLike<number>,
  linesOf: (terrain: Terrain) => LinePlaces,
): MeasurePlaces {
  const terrain = terrainOf(lattice, depth, FORM_SMOOTHING);
  const lines = linesOf(terrain);
  // Derivatives are NaN at the edge of the bottom, where the bottom counts as level.
  const slopes = terrain.gx.map((gx, k) => (Math.atan(Math.hypot(gx, terrain.gy[k])) * 180) / Math.PI || 0);
  const lip = distanceTo(lattice, lines.lip);
  const channel = distanceTo(lattice, lines.thalweg);
  const [cast, face] = [CAST, FACE].map((radius) => disk(lattice, radius));
  return (nodes) => {
    const node = Int32Array.from(nodes).filter((k) => !Number.isNaN(terrain.depth[k]));
    const measured = Array.from(node, (k): Record<Measure, number> => {
      const [x, y] = [k % terrain.columns, Math.floor(k / terrain.columns)];
      const [top, base] = rangeOf(terrain, terrain.depth, x, y, cast);
      const near = ringAt(terrain, x, y, RING);
      const wide = ringAt(terrain, x, y, WIDE_RING);
      return {
        depth: terrain.depth[k],
        top,
        base,
        relief: base - top,
        slope: slopes[k],
        face: rangeOf(terrain, slopes, x, y, face)[1],
        lip: lip(x, y),
        channel: channel(x, y),
        turn: near.along,
        bend: near.down,
        sharp: near.sharp,
        wide: wide.sharp,
        narrow: wide.other,
      };
    });
    const measures = measuresBy((name) => Float64Array.from(measured, (place) => place[name]));
    return { ...measures, count: node.length, node };
  };
}

type Disk = readonly (readonly [dx: number, dy: number])[];

function disk({ cell }: Lattice, radius: number): Disk {
  const span = Math.floor(radius / cell);
  const side = Array.from({ length: 2 * span + 1 }, (_, i) => i - span);
  return side.flatMap((dy) =>
    side.filter((dx) => Math.hypot(dx, dy) * cell <= radius).map((dx) => [dx, dy] as const),
  );
}

function rangeOf({ columns, rows }: Lattice, values: Float64Array, x: number, y: number, offsets: Disk) {
  let least = values[y * columns + x];
  let most = least;
  for (const [dx, dy] of offsets) {
    const [column, row] = [x + dx, y + dy];
    if (column < 0 || row < 0 || column >= columns || row >= rows) continue;
    const value = values[row * columns + column];
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return [least, most];
}

/** Returns a function for the distance from a node to the nearest of some points, m, at most `FAR`. */
function distanceTo(
  { cell }: Lattice,
  places: readonly (readonly [x: number, y: number])[],
): (x: number, y: number) => number {
  if (places.length === 0) return () => FAR;
  const index = new Flatbush(places.length);
  for (const [x, y] of places) index.add(x, y);
  index.finish();
  return (x, y) => {
    const [nearest] = index.neighbors(x, y, 1, FAR / cell);
    return nearest === undefined ? FAR : cell * Math.hypot(places[nearest][0] - x, places[nearest][1] - y);
  };
}

const RING_COS = Array.from({ length: DIRECTIONS }, (_, i) => Math.cos((2 * Math.PI * i) / DIRECTIONS));
const RING_SIN = Array.from({ length: DIRECTIONS }, (_, i) => Math.sin((2 * Math.PI * i) / DIRECTIONS));

/**
 * Computes mean drops to both sides of a node, m, from the mean and the first two harmonics of the drops to
 * the points of a ring. A point of unknown depth counts as level with the node.
 *
 * @returns Drops along the axis of the largest drop or rise (`sharp`), at a right angle to that axis
 * (`other`), along the contour (`along`) and along the fall line (`down`).
 */
function ringAt(terrain: Terrain, x: number, y: number, radius: number) {
  const { columns, cell, depth } = terrain;
  const here = depth[y * columns + x];
  let [middle, c1, s1, c2, s2] = [0, 0, 0, 0, 0];
  for (let i = 0; i < DIRECTIONS; i++) {
    const [c, s] = [RING_COS[i], RING_SIN[i]];
    const there = bilinear(terrain, depth, x + (c * radius) / cell, y + (s * radius) / cell);
    const drop = Number.isNaN(there) ? 0 : there - here;
    middle += drop / DIRECTIONS;
    c1 += (2 * drop * c) / DIRECTIONS;
    s1 += (2 * drop * s) / DIRECTIONS;
    c2 += (2 * drop * (c * c - s * s)) / DIRECTIONS;
    s2 += (2 * drop * 2 * c * s) / DIRECTIONS;
  }
  const swing = Math.hypot(c2, s2);
  const fall = Math.atan2(s1, c1);
  const downward = c2 * Math.cos(2 * fall) + s2 * Math.sin(2 * fall);
  const [a, b] = [middle + swing, middle - swing];
  const [sharp, other] = Math.abs(a) >= Math.abs(b) ? [a, b] : [b, a];
  return { sharp, other, along: middle - downward, down: middle + downward };
}

export const part = (places: Places, keep: (i: number) => boolean): Places =>
  pickRows(places, [...places.node.keys()].filter(keep));

export const everyNth = (places: Places, n: number): Places => part(places, (i) => i % Math.max(1, n) === 0);

export const joinPlaces = (a: Places, b: Places): Places => ({
  ...measuresBy((name) => Float64Array.of(...a[name], ...b[name])),
  count: a.count + b.count,
  node: Int32Array.of(...a.node, ...b.node),
  word: Uint8Array.of(...a.word, ...b.word),
});

const measuresBy = (columnOf: (name: Measure) => Float64Array): Record<Measure, Float64Array> =>
  Object.fromEntries(MEASURES.map((name) => [name, columnOf(name)])) as Record<Measure, Float64Array>;

/** Returns the distance between two nodes, m. */
export const apart = ({ columns, cell }: Lattice, a: number, b: number): number =>
  cell * Math.hypot((a % columns) - (b % columns), Math.floor(a / columns) - Math.floor(b / columns));

/** Tells whether a node is `least` m or more from all `others`. */
export const isApart = (lattice: Lattice, least: number, node: number, others: readonly number[]): boolean =>
  others.every((other) => apart(lattice, node, other) >= least);

/** Returns the standard deviation; 1 where all values are equal. */
export function deviation(values: ArrayLike<number>): number {
  const own = Array.from(values);
  const middle = mean(own);
  return Math.sqrt(mean(own.map((value) => (value - middle) ** 2))) || 1;
}
