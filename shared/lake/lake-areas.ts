import { contours } from 'd3-contour';
import FlatQueue from 'flatqueue';
import { METERS_PER } from '../contract/index.ts';
import type { LakeGrid } from './lake-grid.ts';
import { placeOf } from './lake-lines.ts';
import { type Terrain, terrainOf } from './terrain.ts';

export const AREA_KINDS = ['hump', 'ridge', 'hole', 'ditch', 'flat'] as const;
export type AreaKind = (typeof AREA_KINDS)[number];

/** A form of the bottom that closes on itself, or even ground. */
export interface LakeArea {
  readonly kind: AreaKind;
  /** Closed rings of `[lat, lon]`, deg; the outer first. */
  readonly rings: readonly (readonly (readonly [lat: number, lon: number])[])[];
  /** m^2. */
  readonly area: number;
  /** Place and depth, m, of the top of a hump or ridge, of the deepest place of a hole or ditch, of the middle of a flat. */
  readonly top: readonly [lat: number, lon: number];
  readonly topDepth: number;
  /** Height of a top over (depth of a hole under) the lowest contour that closes round it, m; of a flat its range of depth. */
  readonly relief: number;
  /** Share of the draws in which it stands, 0 to 1; of a flat 1. */
  readonly sure: number;
}

const SMOOTHING = 7;
/** Least relief of a form, m; farthest of its edge from its top, m; length over width from which it is long. */
const LEAST_RELIEF = 2 * METERS_PER.ft;
const MOST_REACH = 100;
const LONG = 2.4;
/** How far the top of a form may move from draw to draw, m. */
const SAME = 15;
/** Steepest of even ground, deg, over what window, m, and its least area, m^2. */
const FLAT_SLOPE = 2;
const FLAT_SMOOTHING = 20;
const LEAST_FLAT = 2500;

/** Humps, ridges, holes, ditches and flats of the lake, largest relief first within a kind. */
export function findLakeAreas(grid: LakeGrid): LakeArea[] {
  const terrain = terrainOf(grid, grid.depth, SMOOTHING);
  const drawn = grid.draws.map((draw) => terrainOf(grid, draw, SMOOTHING));
  const forms = ([1, -1] as const).flatMap((sign) => {
    const ofDraws = drawn.map((each) => closedForms(each, sign));
    return closedForms(terrain, sign).map((form) => {
      const same = ofDraws.filter((others) =>
        others.some((other) => apart(grid, form.top, other.top) <= SAME),
      );
      return areaOf(grid, terrain, form, sign, same.length / Math.max(1, drawn.length));
    });
  });
  const order = (area: LakeArea): number => AREA_KINDS.indexOf(area.kind);
  return [...forms, ...findFlats(grid)].sort((a, b) => order(a) - order(b) || b.relief - a.relief);
}

interface Form {
  readonly top: number;
  readonly nodes: readonly number[];
  readonly relief: number;
}

const apart = (grid: LakeGrid, a: number, b: number): number =>
  grid.cell *
  Math.hypot(
    (a % grid.columns) - (b % grid.columns),
    Math.floor(a / grid.columns) - Math.floor(b / grid.columns),
  );

/**
 * Forms that close on themselves: from each local extreme outward until the bottom turns back, soundings end, or 100 m.
 *
 * @param sign 1 for tops, -1 for holes.
 */
function closedForms(terrain: Terrain, sign: 1 | -1): Form[] {
  const { columns, depth } = terrain;
  const forms: Form[] = [];
  for (let k = 0; k < depth.length; k++) {
    if (Number.isNaN(depth[k]) || !isExtreme(terrain, k, sign)) continue;
    const form = grow(terrain, k, sign);
    if (form.relief >= LEAST_RELIEF) forms.push(form);
  }
  // Of forms that share a node the one of most relief stays.
  const taken = new Set<number>();
  return forms
    .sort((a, b) => b.relief - a.relief || a.top - b.top)
    .filter((form) => {
      if (form.nodes.some((node) => taken.has(node))) return false;
      for (const node of form.nodes) taken.add(node);
      return columns > 0;
    });
}

const ring = (columns: number): number[] => [
  1,
  columns + 1,
  columns,
  columns - 1,
  -1,
  -columns - 1,
  -columns,
  -columns + 1,
];

function isExtreme({ columns, rows, depth }: Terrain, k: number, sign: 1 | -1): boolean {
  const [x, y] = [k % columns, Math.floor(k / columns)];
  if (x === 0 || y === 0 || x === columns - 1 || y === rows - 1) return false;
  return ring(columns).every((step) => {
    const difference = sign * (depth[k + step] - depth[k]);
    return difference > 0 || (difference === 0 && step > 0);
  });
}

/** Floods outward from an extreme in order of depth; what was flooded before the water spills is the form. */
function grow(terrain: Terrain, top: number, sign: 1 | -1): Form {
  const { columns, rows, cell, depth } = terrain;
  const queue = new FlatQueue<number>();
  const seen = new Set([top]);
  const flooded: number[] = [];
  queue.push(top, 0);
  let spill = 0;
  for (;;) {
    const height = queue.peekValue();
    const node = queue.pop();
    if (node === undefined || height === undefined) break;
    const [x, y] = [node % columns, Math.floor(node / columns)];
    const reach = cell * Math.hypot(x - (top % columns), y - Math.floor(top / columns));
    const isEdge = x === 0 || y === 0 || x === columns - 1 || y === rows - 1;
    // Back toward the level of the top, or at the end of what is known: it spills here.
    if (height < spill || isEdge || reach > MOST_REACH || Number.isNaN(depth[node])) break;
    spill = height;
    flooded.push(node);
    for (const step of ring(columns)) {
      const next = node + step;
      if (seen.has(next)) continue;
      seen.add(next);
      queue.push(next, Number.isNaN(depth[next]) ? spill : sign * (depth[next] - depth[top]));
    }
  }
  const inside = flooded.filter((node) => sign * (depth[node] - depth[top]) < spill);
  return { top, nodes: inside, relief: spill };
}

function areaOf(grid: LakeGrid, terrain: Terrain, form: Form, sign: 1 | -1, sure: number): LakeArea {
  const isLong = elongation(grid, form.nodes) >= LONG;
  return {
    kind: sign > 0 ? (isLong ? 'ridge' : 'hump') : isLong ? 'ditch' : 'hole',
    ...outline(grid, form.nodes),
    top: placeOf(grid, form.top % grid.columns, Math.floor(form.top / grid.columns)),
    topDepth: terrain.depth[form.top],
    relief: form.relief,
    sure,
  };
}

/** Length over width, from the second moments of the nodes. */
function elongation(grid: LakeGrid, nodes: readonly number[]): number {
  const x = nodes.map((node) => node % grid.columns);
  const y = nodes.map((node) => Math.floor(node / grid.columns));
  const mean = (values: readonly number[]): number =>
    values.reduce((sum, value) => sum + value, 0) / values.length;
  const [mx, my] = [mean(x), mean(y)];
  const xx = mean(x.map((value) => (value - mx) ** 2)) + 1 / 12;
  const yy = mean(y.map((value) => (value - my) ** 2)) + 1 / 12;
  const xy = mean(x.map((value, i) => (value - mx) * (y[i] - my)));
  const half = Math.hypot((xx - yy) / 2, xy);
  return Math.sqrt(((xx + yy) / 2 + half) / ((xx + yy) / 2 - half));
}

function outline(grid: LakeGrid, nodes: readonly number[]): Pick<LakeArea, 'rings' | 'area'> {
  const columns = nodes.map((node) => node % grid.columns);
  const rows = nodes.map((node) => Math.floor(node / grid.columns));
  const [x0, y0] = [Math.min(...columns) - 1, Math.min(...rows) - 1];
  const [width, height] = [Math.max(...columns) - x0 + 2, Math.max(...rows) - y0 + 2];
  const inside = new Array<number>(width * height).fill(0);
  for (let i = 0; i < nodes.length; i++) inside[(rows[i] - y0) * width + columns[i] - x0] = 1;
  const shape = contours().size([width, height]).contour(inside, 0.5);
  // Node n stands at n + 0.5 in the library's plane.
  const rings = (shape.coordinates[0] ?? []).map((found) =>
    found.map(([x, y]) => placeOf(grid, x0 + x - 0.5, y0 + y - 0.5)),
  );
  return { rings, area: nodes.length * grid.cell ** 2 };
}

/** Even ground in pieces of at least 2,500 m^2. */
function findFlats(grid: LakeGrid): LakeArea[] {
  const terrain = terrainOf(grid, grid.depth, FLAT_SMOOTHING);
  const limit = Math.tan((FLAT_SLOPE * Math.PI) / 180);
  const left = new Set<number>();
  for (let k = 0; k < terrain.depth.length; k++)
    if (!Number.isNaN(terrain.depth[k]) && Math.hypot(terrain.gx[k], terrain.gy[k]) < limit) left.add(k);
  const areas: LakeArea[] = [];
  while (left.size > 0) {
    const [seed] = left;
    left.delete(seed);
    const nodes = [seed];
    for (const node of nodes)
      for (const step of ring(grid.columns)) if (left.delete(node + step)) nodes.push(node + step);
    if (nodes.length * grid.cell ** 2 < LEAST_FLAT) continue;
    const depths = nodes.map((node) => terrain.depth[node]).sort((a, b) => a - b);
    const middle = nodes.reduce(
      (best, node) => (grid.distance[node] < grid.distance[best] ? node : best),
      nodes[0],
    );
    areas.push({
      kind: 'flat',
      ...outline(grid, nodes),
      top: placeOf(grid, middle % grid.columns, Math.floor(middle / grid.columns)),
      topDepth: depths[depths.length >> 1],
      relief: depths[depths.length - 1] - depths[0],
      sure: 1,
    });
  }
  return areas;
}
