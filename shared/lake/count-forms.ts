import { LINE_KINDS, type LineKind } from '../contract/index.ts';
import { MAX_REACH, topFinder } from './closed-forms.ts';
import { LINE_REACH, lineNodeFinder } from './line-nodes.ts';
import { CUT_OFF, cutOut, extentOf, gaussianMean, knownNodes, type Lattice } from './raster.ts';
import { FORM_SMOOTHING, smoothed, withDerivatives } from './terrain.ts';

/** Maximum distance at which a line of a draw counts as the line sought, m. */
const SAME_LINE = 10;
/** Maximum distance at which a top or low of a draw counts as the form sought, m. */
const SAME_FORM = 15;
/** Maximum distance from a node at which the bottom of a draw affects whether a form is found there, m. */
export const FORM_REACH = SAME_FORM + MAX_REACH + CUT_OFF * FORM_SMOOTHING;

/** Forms sought in draws: kinds of lines, tops (of humps and ridges) and lows (of holes and ditches). */
export const FORM_KINDS = [...LINE_KINDS, 'top', 'low'] as const;
export type FormKind = (typeof FORM_KINDS)[number];

export const byFormKind = <T>(of: (kind: FormKind) => T): Readonly<Record<FormKind, T>> =>
  Object.fromEntries(FORM_KINDS.map((kind) => [kind, of(kind)])) as Record<FormKind, T>;

/** A part of the lake as plain data, containing everything that the answer depends on. */
export interface FormTask {
  readonly lattice: Lattice;
  /** Depth at each node, m; NaN where unknown, at the same nodes in all draws. */
  readonly draws: readonly Float32Array[];
  /** Nodes of the mean bottom's forms, farther than `FORM_REACH` from any edge where the part was cut. */
  readonly counted: Readonly<Record<FormKind, Int32Array>>;
}

/**
 * Counts the draws that have the form of each counted node: a line within 10 m, or a top or low within 15 m.
 *
 * @returns Counts in the order of `FORM_KINDS`, then of `counted`.
 */
export function countForms({ lattice, draws, counted }: FormTask): Float32Array {
  const having = new Float32Array(FORM_KINDS.reduce((sum, kind) => sum + counted[kind].length, 0));
  if (draws.length === 0) return having;
  const mask = knownNodes(draws[0]);
  const smooth = gaussianMean(lattice, mask, FORM_SMOOTHING);
  const sameForm = stepsWithin(lattice, SAME_FORM);
  const hasLine = lineFinder(lattice, counted);
  for (const draw of draws) {
    const depth = smoothed(draw, mask, smooth);
    const terrain = { ...lattice, depth };
    const [isTop, isLow] = [topFinder(terrain, 1), topFinder(terrain, -1)];
    const lineAt = hasLine(depth);
    let at = 0;
    for (const kind of FORM_KINDS)
      for (const node of counted[kind]) {
        const isThere =
          kind === 'top' || kind === 'low'
            ? sameForm.some((step) => (kind === 'top' ? isTop : isLow)(node + step))
            : lineAt(kind, node);
        if (isThere) having[at]++;
        at++;
      }
  }
  return having;
}

/** Prepares a search for lines near the counted nodes, limited to the rectangle that affects the result. */
function lineFinder(
  { columns, rows, cell }: Lattice,
  counted: FormTask['counted'],
): (depth: Float64Array) => (kind: LineKind, node: number) => boolean {
  const [left, top, right, bottom] = extentOf(
    columns,
    LINE_KINDS.map((kind) => counted[kind]),
  );
  const margin = Math.ceil((SAME_LINE + LINE_REACH) / cell) + 3;
  const [x0, y0] = [Math.max(0, left - margin), Math.max(0, top - margin)];
  const [width, height] = [
    Math.min(columns, right + margin + 1) - x0,
    Math.min(rows, bottom + margin + 1) - y0,
  ];
  if (!(width > 0)) return () => () => false;
  const inner = { columns: width, rows: height, cell };
  const inInner = (node: number): number => (Math.floor(node / columns) - y0) * width + (node % columns) - x0;
  const steps = stepsWithin(inner, SAME_LINE);
  return (depth) => {
    const isLine = lineNodeFinder(withDerivatives(inner, cutOut(depth, columns, x0, y0, width, height)));
    return (kind, node) => {
      const at = inInner(node);
      return steps.some((step) => isLine(kind, at + step));
    };
  };
}

/** Returns the steps in node numbers to all nodes within `reach` meters, nearest first. */
function stepsWithin({ columns, cell }: Lattice, reach: number): Int32Array {
  const span = Math.floor(reach / cell);
  const side = Array.from({ length: 2 * span + 1 }, (_, k) => k - span);
  const steps = side
    .flatMap((dy) => side.map((dx) => ({ step: dy * columns + dx, length: cell * Math.hypot(dx, dy) })))
    .filter(({ length }) => length <= reach)
    .sort((a, b) => a.length - b.length);
  return Int32Array.from(steps, ({ step }) => step);
}
