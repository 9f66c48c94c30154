import { LINE_KINDS } from '../contract/index.ts';
import { type ClosedForm, closedForms } from './closed-forms.ts';
import type { LakeGrid } from './lake-grid.ts';
import { findLineNodes, type LineNodes } from './line-nodes.ts';
import type { Lattice } from './raster.ts';
import { type Terrain, terrainOf } from './terrain.ts';

/** Smoothing of a bottom before lines and forms are looked for, m. */
export const FORM_SMOOTHING = 7;
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
  /** 1 at nodes so near that what a draw has there may be the same: nothing else of a draw is looked at. */
  readonly near: Uint8Array;
}

/** What one draw of the bottom has where the mean bottom has something: plain data, found in any thread. */
export interface DrawForms {
  /** 1 at nodes within 10 m of a line of each kind. */
  readonly lines: LineNodes;
  readonly tops: readonly ClosedForm[];
  readonly lows: readonly ClosedForm[];
}

export interface LakeForms {
  readonly mean: MeanForms;
  readonly draws: readonly DrawForms[];
}

export function formsOfMean(grid: LakeGrid): MeanForms {
  const terrain = terrainOf(grid, grid.depth, FORM_SMOOTHING);
  const lines = findLineNodes(terrain);
  const [tops, lows] = [closedForms(terrain, 1), closedForms(terrain, -1)];
  const onLine = new Uint8Array(terrain.depth.length);
  for (const kind of LINE_KINDS) for (let k = 0; k < onLine.length; k++) onLine[k] |= lines[kind][k];
  const near = widen(grid, onLine, SAME_LINE);
  const onTop = new Uint8Array(near.length);
  for (const { top } of [...tops, ...lows]) onTop[top] = 1;
  const nearTop = widen(grid, onTop, SAME_FORM);
  for (let k = 0; k < near.length; k++) near[k] |= nearTop[k];
  return { terrain, lines, tops, lows, near };
}

/** @param draw Depths of the lattice's nodes, m; NaN where unknown. @param near As of the mean bottom. */
export function formsOfDraw(lattice: Lattice, draw: ArrayLike<number>, near: Uint8Array): DrawForms {
  const terrain = terrainOf(lattice, draw, FORM_SMOOTHING);
  const nodes = findLineNodes(terrain, near);
  const lines = Object.fromEntries(LINE_KINDS.map((kind) => [kind, widen(lattice, nodes[kind], SAME_LINE)]));
  return {
    lines: lines as LineNodes,
    tops: closedForms(terrain, 1, near),
    lows: closedForms(terrain, -1, near),
  };
}

/** All of it, one draw after the other. */
export function formsOfLake(grid: LakeGrid): LakeForms {
  const mean = formsOfMean(grid);
  return { mean, draws: grid.draws.map((draw) => formsOfDraw(grid, draw, mean.near)) };
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
    (sign > 0 ? tops : lows).some((form) => apart(form.top) <= SAME_FORM),
  );
  return having.length / Math.max(1, draws.length);
}

/** Nodes within `reach` meters of those that are set. */
function widen({ columns, rows, cell }: Lattice, nodes: Uint8Array, reach: number): Uint8Array {
  const wide = new Uint8Array(nodes.length);
  const span = Math.floor(reach / cell);
  for (let k = 0; k < nodes.length; k++) {
    if (nodes[k] === 0) continue;
    const [x, y] = [k % columns, Math.floor(k / columns)];
    for (let dy = -span; dy <= span; dy++)
      for (let dx = -span; dx <= span; dx++) {
        const [nx, ny] = [x + dx, y + dy];
        if (nx < 0 || ny < 0 || nx >= columns || ny >= rows || Math.hypot(dx, dy) * cell > reach) continue;
        wide[ny * columns + nx] = 1;
      }
  }
  return wide;
}
