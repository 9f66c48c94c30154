import { LINE_KINDS } from '../contract/index.ts';
import { isTopOfForm, MOST_REACH } from './closed-forms.ts';
import { findLineNodes } from './line-nodes.ts';
import { CUT_OFF, gaussianMean, knownNodes, type Lattice } from './raster.ts';
import { terrainOfKnown } from './terrain.ts';

/** Smoothing of a bottom before lines and forms are looked for, m. */
export const FORM_SMOOTHING = 7;
/** How near a line of a draw counts as the same, m, and how near the top or deepest place of a form. */
const SAME_LINE = 10;
const SAME_FORM = 15;
/** How far off, m, what decides on a form of a draw may be. */
export const SEEK_REACH = SAME_FORM + MOST_REACH + CUT_OFF * FORM_SMOOTHING;

/** What is looked for in draws: lines by kind, highest nodes of humps and ridges, deepest of holes and ditches. */
export const SOUGHT = [...LINE_KINDS, 'top', 'low'] as const;
export type Sought = (typeof SOUGHT)[number];

/** Something of each that is sought. */
export const bySought = <T>(of: (kind: Sought) => T): Readonly<Record<Sought, T>> =>
  Object.fromEntries(SOUGHT.map((kind) => [kind, of(kind)])) as Record<Sought, T>;

/** A part of the lake as plain data: what its answer depends on, and nothing else. */
export interface FormTask {
  readonly lattice: Lattice;
  /** m at each node; NaN where unknown, at the same nodes of all. */
  readonly draws: readonly Float32Array[];
  /** Nodes of what the mean bottom has, farther than `SEEK_REACH` from the edges of the part. */
  readonly sought: Readonly<Record<Sought, Int32Array>>;
}

/** How many draws have each node that is sought, in the order of `SOUGHT`: a line within 10 m, a top or low within 15 m. */
export function seekForms({ lattice, draws, sought }: FormTask): Float32Array {
  const nodes = Int32Array.from(SOUGHT.flatMap((kind) => [...sought[kind]]));
  const having = new Float32Array(nodes.length);
  if (draws.length === 0) return having;
  const mask = knownNodes(draws[0]);
  const smooth = gaussianMean(lattice, mask, FORM_SMOOTHING);
  const sameLine = stepsWithin(lattice, SAME_LINE);
  const sameForm = stepsWithin(lattice, SAME_FORM);
  const nearLines = new Uint8Array(mask.length);
  for (const kind of LINE_KINDS)
    for (const node of sought[kind]) for (const step of sameLine) nearLines[node + step] = 1;
  for (const draw of draws) {
    const terrain = terrainOfKnown(lattice, draw, mask, smooth);
    const lines = findLineNodes(terrain, nearLines);
    const count = (kind: Sought, steps: Int32Array, isThere: (node: number) => boolean): void => {
      for (const node of sought[kind]) {
        if (steps.some((step) => isThere(node + step))) having[at]++;
        at++;
      }
    };
    let at = 0;
    for (const kind of LINE_KINDS) count(kind, sameLine, (node) => lines[kind][node] === 1);
    count('top', sameForm, (node) => isTopOfForm(terrain, node, 1));
    count('low', sameForm, (node) => isTopOfForm(terrain, node, -1));
  }
  return having;
}

/** Steps in node numbers to all nodes within `reach` meters, nearest first. */
function stepsWithin({ columns, cell }: Lattice, reach: number): Int32Array {
  const span = Math.floor(reach / cell);
  const side = Array.from({ length: 2 * span + 1 }, (_, k) => k - span);
  const steps = side
    .flatMap((dy) => side.map((dx) => ({ step: dy * columns + dx, length: cell * Math.hypot(dx, dy) })))
    .filter(({ length }) => length <= reach)
    .sort((a, b) => a.length - b.length);
  return Int32Array.from(steps, ({ step }) => step);
}
