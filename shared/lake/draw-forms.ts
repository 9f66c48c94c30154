import { LINE_KINDS, type LineKind } from '../contract/index.ts';
import { type ClosedForm, closedForms } from './closed-forms.ts';
import type { LakeGrid } from './lake-grid.ts';
import { findLineNodes, type LineNodes } from './line-nodes.ts';
import { gaussianMean, knownNodes, type Lattice } from './raster.ts';
import { FORM_SMOOTHING, type Terrain, terrainOf, terrainOfKnown } from './terrain.ts';

/** How near a line of a draw counts as the same, m, and how near the top or deepest place of a form. */
const SAME_LINE = 10;
const SAME_FORM = 15;

/** What the lake's mean bottom has. */
export interface MeanForms {
  readonly terrain: Terrain;
  /** 1 on each kind of line. */
  readonly lines: LineNodes;
  readonly tops: readonly ClosedForm[];
  readonly lows: readonly ClosedForm[];
  readonly sought: Sought;
}

/** Where draws are looked at: plain data, for any thread. */
export interface Sought {
  /** 1 at nodes so near to a line of the mean bottom, or to a top or low, that what a draw has there may be the same. */
  readonly nearLines: Uint8Array;
  readonly nearTops: Uint8Array;
  /** Nodes of the mean bottom's lines. */
  readonly lines: Readonly<Record<LineKind, Int32Array>>;
}

/** What one draw of the bottom has of that. */
export interface DrawForms {
  /** Those of the mean bottom's nodes within 10 m of which the draw has a line of the kind. */
  readonly lines: Readonly<Record<LineKind, Int32Array>>;
  /** Highest nodes of its tops, deepest of its lows. */
  readonly tops: readonly number[];
  readonly lows: readonly number[];
}

export interface LakeForms {
  readonly mean: MeanForms;
  readonly draws: readonly DrawForms[];
}

const byKind = <T>(of: (kind: LineKind) => T): Readonly<Record<LineKind, T>> =>
  Object.fromEntries(LINE_KINDS.map((kind) => [kind, of(kind)])) as Record<LineKind, T>;

export function formsOfMean(grid: LakeGrid): MeanForms {
  const terrain = terrainOf(grid, grid.depth, FORM_SMOOTHING);
  const lines = findLineNodes(terrain);
  const [tops, lows] = [closedForms(terrain, 1), closedForms(terrain, -1)];
  const nodes = byKind((kind) => nodesOf(lines[kind]));
  const sought = {
    lines: nodes,
    nearLines: widen(
      grid,
      LINE_KINDS.map((kind) => nodes[kind]),
      SAME_LINE,
    ),
    nearTops: widen(grid, [[...tops, ...lows].map(({ top }) => top)], SAME_FORM),
  };
  return { terrain, lines, tops, lows, sought };
}

function nodesOf(marked: Uint8Array): Int32Array {
  const nodes: number[] = [];
  for (let k = marked.indexOf(1); k >= 0; k = marked.indexOf(1, k + 1)) nodes.push(k);
  return Int32Array.from(nodes);
}

/**
 * What draws have of what is sought, one after the other.
 *
 * @param draws Depths of the lattice's nodes, m; NaN where unknown, at the same nodes of all.
 */
export function formsOfDraws(
  lattice: Lattice,
  draws: readonly ArrayLike<number>[],
  { lines, nearLines, nearTops }: Sought,
): DrawForms[] {
  if (draws.length === 0) return [];
  const mask = knownNodes(draws[0]);
  const smooth = gaussianMean(lattice, mask, FORM_SMOOTHING);
  return draws.map((draw) => {
    const terrain = terrainOfKnown(lattice, draw, mask, smooth);
    const nodes = findLineNodes(terrain, nearLines);
    const extremes = (sign: 1 | -1): number[] => closedForms(terrain, sign, nearTops).map(({ top }) => top);
    return {
      lines: byKind((kind) => nearNodes(lattice, lines[kind], nodes[kind], SAME_LINE)),
      tops: extremes(1),
      lows: extremes(-1),
    };
  });
}

/** All of it in one thread. */
export function formsOfLake(grid: LakeGrid): LakeForms {
  const mean = formsOfMean(grid);
  return { mean, draws: formsOfDraws(grid, grid.draws, mean.sought) };
}

/** Share of the draws that have the form, its top within 15 m. */
export function shareWithForm(
  grid: LakeGrid,
  draws: readonly DrawForms[],
  top: number,
  sign: 1 | -1,
): number {
  const apart = (other: number): number =>
    grid.cell *
    Math.hypot(
      (top % grid.columns) - (other % grid.columns),
      Math.floor(top / grid.columns) - Math.floor(other / grid.columns),
    );
  const having = draws.filter(({ tops, lows }) =>
    (sign > 0 ? tops : lows).some((other) => apart(other) <= SAME_FORM),
  );
  return having.length / Math.max(1, draws.length);
}

/** 1 at nodes within `reach` meters of some nodes. */
function widen(lattice: Lattice, some: readonly ArrayLike<number>[], reach: number): Uint8Array {
  const wide = new Uint8Array(lattice.columns * lattice.rows);
  const steps = stepsWithin(lattice, reach);
  for (const nodes of some)
    for (let i = 0; i < nodes.length; i++)
      for (const step of steps) {
        const node = stepFrom(lattice, nodes[i], step);
        if (node !== undefined) wide[node] = 1;
      }
  return wide;
}

/** Those of some nodes that have one that is set within `reach` meters. */
function nearNodes(lattice: Lattice, some: Int32Array, nodes: Uint8Array, reach: number): Int32Array {
  const steps = stepsWithin(lattice, reach);
  return some.filter((k) =>
    steps.some((step) => {
      const node = stepFrom(lattice, k, step);
      return node !== undefined && nodes[node] === 1;
    }),
  );
}

type Step = readonly [dx: number, dy: number];

/** Nearest first. */
function stepsWithin({ cell }: Lattice, reach: number): Step[] {
  const span = Math.floor(reach / cell);
  const side = Array.from({ length: 2 * span + 1 }, (_, k) => k - span);
  return side
    .flatMap((dy) => side.map((dx): Step => [dx, dy]))
    .filter(([dx, dy]) => Math.hypot(dx, dy) * cell <= reach)
    .sort((a, b) => Math.hypot(...a) - Math.hypot(...b));
}

/** The node so many columns and rows on; undefined off the lattice. */
function stepFrom({ columns, rows }: Lattice, k: number, [dx, dy]: Step): number | undefined {
  const x = (k % columns) + dx;
  const y = Math.floor(k / columns) + dy;
  return x >= 0 && y >= 0 && x < columns && y < rows ? y * columns + x : undefined;
}
