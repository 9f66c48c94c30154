import FlatQueue from 'flatqueue';
import { METERS_PER } from '../contract/index.ts';
import type { Lattice } from './raster.ts';
import type { Terrain } from './terrain.ts';

type Smooth = Pick<Terrain, 'columns' | 'rows' | 'cell' | 'depth'>;

const MIN_RELIEF = 2 * METERS_PER.ft;
/** Maximum distance of a form's edge from its top, m. */
export const MAX_REACH = 100;

/** A top or low of the bottom with a contour that closes around it. */
export interface ClosedForm {
  /** Highest node of a top, or deepest node of a low. */
  readonly top: number;
  /** Depth of the highest (deepest) node, m. */
  readonly topDepth: number;
  /** Nodes inside the lowest (highest) contour that closes around the top (low). */
  readonly nodes: readonly number[];
  /** Relief from the top or low to the contour that closes around it, m. */
  readonly relief: number;
}

/**
 * Finds closed forms of at least 2 ft of relief. Each form grows from a local extreme until the bottom turns
 * back, soundings end or the form reaches `MAX_REACH`.
 *
 * @param sign 1 for tops, -1 for lows.
 */
export function closedForms(terrain: Smooth, sign: 1 | -1): ClosedForm[] {
  const { depth } = terrain;
  const grow = flooderOf(terrain, sign);
  const forms: ClosedForm[] = [];
  for (let k = 0; k < depth.length; k++) {
    if (!isExtreme(terrain, k, sign)) continue;
    const form = grow(k);
    if (form.relief >= MIN_RELIEF) forms.push(form);
  }
  // A form that shares a node with a kept form of more relief is dropped.
  const taken = new Set<number>();
  return forms
    .sort((a, b) => b.relief - a.relief || a.top - b.top)
    .filter((form) => {
      if (form.nodes.some((node) => taken.has(node))) return false;
      for (const node of form.nodes) taken.add(node);
      return true;
    });
}

/**
 * Returns a function that tells whether a node is the top (low) of a closed form of at least 2 ft of relief.
 *
 * @param sign 1 for tops, -1 for lows.
 */
export function topFinder(terrain: Smooth, sign: 1 | -1): (node: number) => boolean {
  const grow = flooderOf(terrain, sign);
  return (node) => isExtreme(terrain, node, sign) && grow(node, MIN_RELIEF).relief >= MIN_RELIEF;
}

export const ring = (columns: number): number[] => [
  1,
  columns + 1,
  columns,
  columns - 1,
  -1,
  -columns - 1,
  -columns,
  -columns + 1,
];

function isExtreme({ columns, rows, depth }: Smooth, k: number, sign: 1 | -1): boolean {
  const [x, y] = [k % columns, Math.floor(k / columns)];
  if (Number.isNaN(depth[k]) || x === 0 || y === 0 || x === columns - 1 || y === rows - 1) return false;
  // Among equal neighbors, the first node is the extreme.
  for (let dy = -1; dy <= 1; dy++)
    for (let step = dy * columns - 1; step <= dy * columns + 1; step++) {
      const difference = sign * (depth[k + step] - depth[k]);
      if (step !== 0 && !(difference > 0 || (difference === 0 && step > 0))) return false;
    }
  return true;
}

/**
 * Prepares floods outward from an extreme in order of depth. A form consists of the flooded nodes between the
 * extreme and the level at which the water spills.
 *
 * @returns A function that finds the form of an extreme, and stops early when the relief reaches `enough`, m.
 */
function flooderOf(terrain: Smooth, sign: 1 | -1): (top: number, enough?: number) => ClosedForm {
  const { columns, rows, cell, depth } = terrain;
  const steps = ring(columns);
  const queue = new FlatQueue<number>();
  /** Number of the last flood that reached each node. */
  const seen = new Uint32Array(depth.length);
  let flood = 0;
  return (top, enough = Number.POSITIVE_INFINITY) => {
    const [topX, topY] = [top % columns, Math.floor(top / columns)];
    const flooded: number[] = [];
    queue.clear();
    queue.push(top, 0);
    seen[top] = ++flood;
    let spill = 0;
    while (spill < enough) {
      const height = queue.peekValue();
      const node = queue.pop();
      if (node === undefined || height === undefined) break;
      const x = node % columns;
      const y = Math.floor(node / columns);
      const isFar = cell * Math.hypot(x - topX, y - topY) > MAX_REACH;
      const isEdge = x === 0 || y === 0 || x === columns - 1 || y === rows - 1;
      // The water spills where the bottom turns back toward the top's level, and at the limits of the search.
      if (height < spill || isEdge || isFar || Number.isNaN(depth[node])) break;
      spill = height;
      flooded.push(node);
      for (const step of steps) {
        const next = node + step;
        if (seen[next] === flood) continue;
        seen[next] = flood;
        queue.push(next, Number.isNaN(depth[next]) ? spill : sign * (depth[next] - depth[top]));
      }
    }
    const inside = flooded.filter((node) => sign * (depth[node] - depth[top]) < spill);
    return { top, topDepth: depth[top], nodes: inside, relief: spill };
  };
}

/** Minimum ratio of length to width of a long form, which is a ridge or ditch. */
const LONG = 2.4;

export const isLong = (lattice: Lattice, nodes: readonly number[]): boolean =>
  elongation(lattice, nodes) >= LONG;

function elongation({ columns }: Lattice, nodes: readonly number[]): number {
  const x = nodes.map((node) => node % columns);
  const y = nodes.map((node) => Math.floor(node / columns));
  const mean = (values: readonly number[]): number =>
    values.reduce((sum, value) => sum + value, 0) / values.length;
  const [mx, my] = [mean(x), mean(y)];
  const xx = mean(x.map((value) => (value - mx) ** 2)) + 1 / 12;
  const yy = mean(y.map((value) => (value - my) ** 2)) + 1 / 12;
  const xy = mean(x.map((value, i) => (value - mx) * (y[i] - my)));
  const half = Math.hypot((xx - yy) / 2, xy);
  return Math.sqrt(((xx + yy) / 2 + half) / ((xx + yy) / 2 - half));
}
