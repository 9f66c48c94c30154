import { LINE_KINDS } from '../contract/index.ts';
import { type ClosedForm, closedForms } from './closed-forms.ts';
import { byFormKind, FORM_KINDS, FORM_REACH, type FormKind, type FormTask } from './count-forms.ts';
import type { LakeGrid } from './lake-grid.ts';
import { findLineNodes, type LineNodes } from './line-nodes.ts';
import { cutOut } from './raster.ts';
import { type Rounds, runInline } from './rounds.ts';
import { FORM_SMOOTHING, type Terrain, terrainOf } from './terrain.ts';

/** Number of nodes along each side of the squares in which forms are counted in the draws. */
const SQUARE = 64;

export interface MeanForms {
  readonly terrain: Terrain;
  readonly lines: LineNodes;
  readonly tops: readonly ClosedForm[];
  readonly lows: readonly ClosedForm[];
}

/** Forms of the mean bottom, and the share of the draws, 0 to 1, that also have the form found at a node. */
export interface LakeForms {
  readonly mean: MeanForms;
  readonly share: (kind: FormKind, node: number) => number;
}

/**
 * Finds the forms of the mean bottom, and counts them in the draws, square by square.
 *
 * @param from Share of the whole work already done, 0 to 1.
 */
export function* formRounds(grid: LakeGrid, from = 0): Rounds<LakeForms> {
  const terrain = terrainOf(grid, grid.depth, FORM_SMOOTHING);
  const [tops, lows] = ([1, -1] as const).map((sign) => closedForms(terrain, sign));
  const mean = { terrain, lines: findLineNodes(terrain), tops, lows };
  const having = byFormKind(() => new Uint16Array(grid.depth.length));
  const squares = squaresOf(grid, mean);
  yield {
    count: squares.length,
    taskAt: (k) => formTask(grid, squares[k]),
    take(k, counts) {
      let at = 0;
      for (const kind of FORM_KINDS)
        for (const node of squares[k].counted[kind]) having[kind][node] = counts[at++];
    },
    shareAt: (k) => from + ((1 - from) * (k + 1)) / squares.length,
  };
  return { mean, share: (kind, node) => having[kind][node] / Math.max(1, grid.draws.length) };
}

export const formsOfLake = (grid: LakeGrid): LakeForms => runInline(formRounds(grid));

/**
 * Square of nodes, with the forms of the mean bottom in it. Squares keep their places on the infinite lattice
 * when more is sounded.
 */
interface Square {
  readonly x0: number;
  readonly y0: number;
  readonly counted: Readonly<Record<FormKind, number[]>>;
}

function squaresOf({ columns, cell, x0, y0 }: LakeGrid, { lines, tops, lows }: MeanForms): Square[] {
  const [column0, row0] = [Math.round(x0 / cell), Math.round(y0 / cell)];
  const squares = new Map<string, Square>();
  const add = (kind: FormKind, node: number): void => {
    const x = SQUARE * Math.floor(((node % columns) + column0) / SQUARE) - column0;
    const y = SQUARE * Math.floor((Math.floor(node / columns) + row0) / SQUARE) - row0;
    const key = `${x} ${y}`;
    const square = squares.get(key) ?? { x0: x, y0: y, counted: byFormKind(() => []) };
    squares.set(key, square);
    square.counted[kind].push(node);
  };
  for (const kind of LINE_KINDS)
    for (let k = lines[kind].indexOf(1); k >= 0; k = lines[kind].indexOf(1, k + 1)) add(kind, k);
  for (const { top } of tops) add('top', top);
  for (const { top } of lows) add('low', top);
  return [...squares.values()];
}

function formTask(grid: LakeGrid, { x0, y0, counted }: Square): FormTask {
  const margin = Math.ceil(FORM_REACH / grid.cell) + 2;
  const [x, y] = [Math.max(0, x0 - margin), Math.max(0, y0 - margin)];
  const columns = Math.min(grid.columns, x0 + SQUARE + margin) - x;
  const rows = Math.min(grid.rows, y0 + SQUARE + margin) - y;
  const inPart = (node: number): number =>
    (Math.floor(node / grid.columns) - y) * columns + (node % grid.columns) - x;
  return {
    lattice: { columns, rows, cell: grid.cell },
    draws: grid.draws.map((draw) => cutOut(draw, grid.columns, x, y, columns, rows)),
    counted: byFormKind((kind) => Int32Array.from(counted[kind], inPart)),
  };
}
