import { METERS_PER, STRUCTURE_WORDS, type StructureWord } from '../contract/index.ts';
import {
  findLineNodes,
  type Lattice,
  type LineNodes,
  linkNodes,
  type Terrain,
  terrainOf,
} from '../lake/index.ts';
import { bilinear } from '../math/index.ts';

/** Measures of places, one value a place; m unless stated. */
export const MEASURES = [
  'depth',
  /** Least and greatest depth within a cast. */
  'top',
  'base',
  /** Base less top. */
  'relief',
  /** deg, here and the steepest within 15 m. */
  'slope',
  'face',
  /** To the nearest lip, and to the nearest bed of a ditch or channel: 80 where there is none within. */
  'lip',
  'channel',
  /** Mean drop to both sides: along the contour, down the fall line and across the sharper axis within 25 m. */
  'turn',
  'bend',
  'sharp',
  /** Across the sharper and the other axis within 75 m. */
  'wide',
  'narrow',
] as const;
export type Measure = (typeof MEASURES)[number];

/** Places of a lake with what is measured at each. */
export interface Places {
  readonly count: number;
  /** Node of the lattice on which each lies. */
  readonly node: Int32Array;
  /** Index into `STRUCTURE_WORDS`: what the bottom does within 25 m. */
  readonly word: Uint8Array;
  readonly measures: Readonly<Record<Measure, Float64Array>>;
}

/** Radii, m: of a cast, of the steepest face, of the two rings; farthest that a line is looked for. */
const CAST = 45;
const FACE = 15;
const RING = 25;
const WIDE_RING = 75;
const FAR = 80;
/** Directions of a ring. */
const DIRECTIONS = 16;
/** Smoothing of the bottom, m. */
const SMOOTHING = 6.5;
/** Least drop of a form, m, and steepest tilt of even ground, deg. */
const LEAST = 2 * METERS_PER.ft;
const EVEN = 2;
/** A place is on a line within this distance, m; a lip with a channel bed within the other is its edge. */
const ON_LINE = 12;
const CHANNEL = 60;

/** True for a word that names a form, not even ground. */
export const isStructure = (word: number): boolean =>
  STRUCTURE_WORDS[word] !== 'slope' && STRUCTURE_WORDS[word] !== 'flat';

/** Measures places of one bottom: their nodes, of which those without a depth are left out. */
export type MeasurePlaces = (nodes: ArrayLike<number>) => Places;

/**
 * Smooths one bottom and finds its lines, to measure places of it.
 *
 * @param depth By node, m, positive down; NaN where unknown.
 * @param isWhole Lines shorter than 30 m are dropped, as on the lake's map; false for a window about a place, which cuts lines.
 */
export function measurerOf(lattice: Lattice, depth: ArrayLike<number>, isWhole = true): MeasurePlaces {
  const terrain = terrainOf(lattice, depth, SMOOTHING);
  // At the rim a derivative is unknown: level.
  const slopes = terrain.gx.map((gx, k) => (Math.atan(Math.hypot(gx, terrain.gy[k])) * 180) / Math.PI || 0);
  const lines = findLineNodes(terrain);
  const lip = distanceTo(lattice, lines, 'lip', isWhole);
  const channel = distanceTo(lattice, lines, 'thalweg', isWhole);
  const cast = disk(lattice, CAST);
  const face = disk(lattice, FACE);
  return (nodes) => measurePlaces({ lattice, terrain, slopes, lip, channel, cast, face }, nodes);
}

/** What places of one bottom are measured on. */
interface Ground {
  readonly lattice: Lattice;
  readonly terrain: Terrain;
  /** By node, deg. */
  readonly slopes: Float64Array;
  /** By node: m to the nearest lip, and to the nearest bed of a ditch or channel. */
  readonly lip: ArrayLike<number>;
  readonly channel: ArrayLike<number>;
  readonly cast: ReturnType<typeof disk>;
  readonly face: ReturnType<typeof disk>;
}

function measurePlaces(
  { lattice, terrain, slopes, lip, channel, cast, face }: Ground,
  nodes: ArrayLike<number>,
): Places {
  const node = Int32Array.from(Array.from(nodes).filter((k) => !Number.isNaN(terrain.depth[k])));
  const column = (): Float64Array => new Float64Array(node.length);
  const measures = Object.fromEntries(MEASURES.map((name) => [name, column()])) as Record<
    Measure,
    Float64Array
  >;
  const word = new Uint8Array(node.length);
  for (let i = 0; i < node.length; i++) {
    const k = node[i];
    const [top, base] = rangeOf(lattice, terrain.depth, k, cast);
    const near = ringAt(terrain, k, RING);
    const wide = ringAt(terrain, k, WIDE_RING);
    const values: Record<Measure, number> = {
      depth: terrain.depth[k],
      top,
      base,
      relief: base - top,
      slope: slopes[k],
      face: rangeOf(lattice, slopes, k, face)[1],
      lip: lip[k],
      channel: channel[k],
      turn: near.along,
      bend: near.down,
      sharp: near.sharp,
      wide: wide.sharp,
      narrow: wide.other,
    };
    for (const name of MEASURES) measures[name][i] = values[name];
    word[i] = STRUCTURE_WORDS.indexOf(wordOf(near, values));
  }
  return { count: node.length, node, word, measures };
}

/** Steps to the nodes within a radius. */
function disk({ cell }: Lattice, radius: number): readonly (readonly [dx: number, dy: number])[] {
  const span = Math.floor(radius / cell);
  const side = Array.from({ length: 2 * span + 1 }, (_, i) => i - span);
  return side.flatMap((dy) =>
    side.filter((dx) => Math.hypot(dx, dy) * cell <= radius).map((dx) => [dx, dy] as const),
  );
}

function rangeOf(
  { columns, rows }: Lattice,
  values: Float64Array,
  k: number,
  steps: readonly (readonly [number, number])[],
): [number, number] {
  const [x, y] = [k % columns, Math.floor(k / columns)];
  let [least, most] = [values[k], values[k]];
  for (const [dx, dy] of steps) {
    if (x + dx < 0 || y + dy < 0 || x + dx >= columns || y + dy >= rows) continue;
    const value = values[k + dy * columns + dx];
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return [least, most];
}

/** m from each node to the nearest of a kind of line, at most `FAR`. */
function distanceTo(
  lattice: Lattice,
  lines: LineNodes,
  kind: keyof LineNodes,
  isWhole: boolean,
): Float32Array {
  const { columns, rows, cell } = lattice;
  const found = new Float32Array(columns * rows).fill(FAR);
  const on = isWhole
    ? linkNodes(lattice, lines[kind]).flat()
    : [...lines[kind].keys()].filter((k) => lines[kind][k]);
  const steps = disk(lattice, FAR);
  for (const k of on) {
    const [x, y] = [k % columns, Math.floor(k / columns)];
    for (const [dx, dy] of steps) {
      if (x + dx < 0 || y + dy < 0 || x + dx >= columns || y + dy >= rows) continue;
      const at = k + dy * columns + dx;
      found[at] = Math.min(found[at], Math.hypot(dx, dy) * cell);
    }
  }
  return found;
}

interface Ring {
  /** Deepening over the radius along the steepest way. */
  readonly tilt: number;
  readonly sharp: number;
  readonly other: number;
  readonly along: number;
  readonly down: number;
}

/** Mean drops to both sides of a place from the second harmonic of a ring of depths; tilt from the first. Unknown depths count as level. */
function ringAt(terrain: Terrain, k: number, radius: number): Ring {
  const { columns, cell, depth } = terrain;
  const [x, y] = [k % columns, Math.floor(k / columns)];
  let [mean, c1, s1, c2, s2] = [0, 0, 0, 0, 0];
  for (let i = 0; i < DIRECTIONS; i++) {
    const angle = (2 * Math.PI * i) / DIRECTIONS;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const there = bilinear(terrain, depth, x + (c * radius) / cell, y + (s * radius) / cell);
    const drop = Number.isNaN(there) ? 0 : there - depth[k];
    mean += drop / DIRECTIONS;
    c1 += (2 * drop * c) / DIRECTIONS;
    s1 += (2 * drop * s) / DIRECTIONS;
    c2 += (2 * drop * (c * c - s * s)) / DIRECTIONS;
    s2 += (2 * drop * 2 * c * s) / DIRECTIONS;
  }
  const swing = Math.hypot(c2, s2);
  const fall = Math.atan2(s1, c1);
  const downward = c2 * Math.cos(2 * fall) + s2 * Math.sin(2 * fall);
  const [a, b] = [mean + swing, mean - swing];
  const [sharp, other] = Math.abs(a) >= Math.abs(b) ? [a, b] : [b, a];
  return { tilt: Math.hypot(c1, s1), sharp, other, along: mean - downward, down: mean + downward };
}

function wordOf(
  { tilt, sharp, other, along }: Ring,
  { lip, channel }: Record<Measure, number>,
): StructureWord {
  if (Math.abs(sharp) >= LEAST && tilt < Math.abs(sharp)) {
    const isTop = sharp > 0;
    if (sharp * other < 0 && Math.abs(other) >= LEAST / 3) return 'saddle';
    if (other / sharp >= 0.4) return isTop ? 'hump' : 'hole';
    return isTop ? 'ridge' : 'ditch';
  }
  if (lip <= ON_LINE) return channel <= CHANNEL ? 'channel-edge' : 'ledge';
  if (along >= LEAST) return 'point';
  if (Math.abs(along) >= 0.58 * LEAST) return along > 0 ? 'outside-turn' : 'inside-turn';
  return (Math.atan(tilt / RING) * 180) / Math.PI < EVEN ? 'flat' : 'slope';
}
