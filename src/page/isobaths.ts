import { max, min, range } from 'd3-array';
import { contours } from 'd3-contour';
import { type CurveFactory, curveCatmullRom, curveLinear, line } from 'd3-shape';
import { type DisplayUnits, fromMeters, toMeters } from '../../shared/contract/index.ts';
import { cutOut } from '../../shared/lake/index.ts';
import { type PathWriter, pathWriter } from './path-writer.ts';
import { type FigurePlace, short, simplify, svgElement } from './svg.ts';

/** Values on a row-major grid, with the mapping from nodes to the figure. */
export interface FigureGrid {
  readonly columns: number;
  readonly rows: number;
  /** Values by node; NaN where there is no value. */
  readonly values: Float32Array | Float64Array;
  /** Returns the figure place of a node; fractional columns and rows are allowed. */
  toFigure(column: number, row: number): FigurePlace;
}

/**
 * Traces the isobath of one depth, interpolating linearly between nodes.
 *
 * @param depth In the unit of the grid's values.
 * @returns `lines`, the isobath as figure places; `linePath`, smoothed path data of the isobath; and `path`,
 * path data of the area at least this deep. Along the edge of the grid, the outline of that area runs half a
 * cell outside the grid.
 */
export function traceIsobath({ columns, rows, values, toFigure }: FigureGrid, depth: number) {
  const lines: FigurePlace[][] = [];
  const areas = pathWriter();
  const open = pathWriter();
  const shape = contours()
    .size([columns, rows])
    .contour(values as never, depth);
  for (const ring of shape.coordinates.flat()) {
    const runs = splitRing(
      ring.slice(0, -1).map(([x, y]) => ({
        // In d3-contour's coordinates, node n is at n + 0.5.
        place: toFigure(x - 0.5, y - 0.5),
        isEdge: x <= 0 || y <= 0 || x >= columns || y >= rows,
      })),
    );
    for (const { isEdge, places } of runs) {
      if (isEdge || places.length < 2) continue;
      lines.push(places);
      drawCurve(places, curveCatmullRom, open);
    }
    drawRing(runs, areas);
  }
  return { lines, path: areas.text(), linePath: open.text() };
}

interface Run {
  readonly isEdge: boolean;
  readonly places: FigurePlace[];
}

/** Splits a ring into pieces of isobath and of the grid's edge. A ring of one kind is one closed piece. */
function splitRing(ring: readonly { readonly place: FigurePlace; readonly isEdge: boolean }[]): Run[] {
  const start = ring.findIndex(({ isEdge }, i) => isEdge !== ring.at(i - 1)!.isEdge);
  if (start < 0) return [{ isEdge: ring[0].isEdge, places: [...ring, ring[0]].map(({ place }) => place) }];
  const runs: Run[] = [];
  for (const { place, isEdge } of [...ring.slice(start), ...ring.slice(0, start)]) {
    const last = runs.at(-1);
    if (last?.isEdge === isEdge) last.places.push(place);
    else runs.push({ isEdge, places: [place] });
  }
  return runs;
}

function drawRing(runs: readonly Run[], writer: PathWriter): void {
  // d3 closes the path after a single place, but here only the whole ring may be closed.
  const first: PathWriter = { ...writer, closePath: () => undefined };
  // Later pieces continue from the end of the previous one.
  const later: PathWriter = { ...first, moveTo: writer.lineTo };
  for (const [i, { isEdge, places }] of runs.entries())
    drawCurve(places, isEdge ? curveLinear : curveCatmullRom, i === 0 ? first : later);
  writer.closePath();
}

/**
 * Cuts out the part of a grid that a map shows, with a margin of up to two nodes on every side. A grid that
 * the map does not show is returned whole.
 *
 * @param isShown Returns true for a figure place on the map.
 */
export function cropGrid(grid: FigureGrid, isShown: (place: FigurePlace) => boolean): FigureGrid {
  const nodes = range(grid.columns * grid.rows).map((k) => [k % grid.columns, Math.floor(k / grid.columns)]);
  const shown = nodes.filter(([column, row]) => isShown(grid.toFigure(column, row)));
  if (shown.length === 0) return grid;
  const [left, low] = [0, 1].map((axis) => Math.max(0, min(shown, (node) => node[axis])! - 2));
  const right = Math.min(grid.columns - 1, max(shown, ([column]) => column)! + 2);
  const high = Math.min(grid.rows - 1, max(shown, ([, row]) => row)! + 2);
  const [columns, rows] = [right - left + 1, high - low + 1];
  return {
    columns,
    rows,
    values: cutOut(grid.values, grid.columns, left, low, columns, rows),
    toFigure: (column, row) => grid.toFigure(column + left, row + low),
  };
}

/**
 * Returns a function that tells whether the node nearest to a figure place has the value 1. The grid may be
 * rotated in the figure, so its axes are taken from three of its nodes.
 */
export function soundedAt(grid: FigureGrid): (place: FigurePlace) => boolean {
  const [x0, y0] = grid.toFigure(0, 0);
  const [ax, ay] = [grid.toFigure(1, 0)[0] - x0, grid.toFigure(1, 0)[1] - y0];
  const [bx, by] = [grid.toFigure(0, 1)[0] - x0, grid.toFigure(0, 1)[1] - y0];
  const area = ax * by - ay * bx;
  return ([x, y]) => {
    const column = Math.round(((x - x0) * by - (y - y0) * bx) / area);
    const row = Math.round((ax * (y - y0) - ay * (x - x0)) / area);
    if (column < 0 || row < 0 || column >= grid.columns || row >= grid.rows) return false;
    return grid.values[row * grid.columns + column] === 1;
  };
}

/** Tolerance for thinning outlines, figure units: less than the stroke width of an isobath. */
const THIN = 0.25;

function drawCurve(places: readonly FigurePlace[], factory: CurveFactory, writer: PathWriter): void {
  line()
    .curve(factory)
    .context(writer as never)(simplify(places, THIN) as never);
}

/** Steps between isobaths in the user's unit. */
const STEPS = { ft: [1, 2, 5, 10, 20, 50], m: [0.25, 0.5, 1, 2, 5, 10, 20] } as const;
/** Maximum number of steps in the range of depths of a map, except at the coarsest step; judgment. */
const MOST = 13;
/** Maximum number of steps at the finest step, which is near the error of the depths; judgment. */
const MOST_FINEST = 6;

export type IsobathDepths = ReturnType<typeof chooseIsobaths>;

/**
 * Chooses isobaths at the finest usual step that does not crowd the map. Every isobath begins a new tint;
 * if that takes too many tints, only every second isobath does, or every third, and so on.
 *
 * @param from Minimum depth, m. @param to Maximum depth, m. @param maxTints Maximum number of tints.
 * @param crowd Factor on `MOST` and `MOST_FINEST`.
 * @returns `interval`, the step in the user's unit; `depths` of the isobaths, m, ascending; and `tints`, for
 * each isobath the 1-based number of the tint that begins there, or undefined.
 */
export function chooseIsobaths(from: number, to: number, units: DisplayUnits, maxTints: number, crowd = 1) {
  const [low, high] = [fromMeters(from, units), fromMeters(to, units)];
  const steps = STEPS[units];
  const interval =
    steps.find((step, i) => (high - low) / step <= (i === 0 ? MOST_FINEST : MOST) * crowd) ?? steps.at(-1)!;
  const numbers = range(Math.max(1, Math.ceil(low / interval)), Math.floor(high / interval) + 1);
  let every = 1;
  while (numbers.filter((k) => k % every === 0).length > maxTints - 1) every += 1;
  let tint = 0;
  return {
    interval,
    depths: numbers.map((k) => toMeters(k * interval, units)),
    tints: numbers.map((k) => (k % every === 0 ? ++tint : undefined)),
  };
}

/**
 * Draws the area at least as deep as each isobath, in the tint that begins there, if any.
 *
 * @returns `markup`, and `lines` of each isobath as figure places.
 */
export function drawIsobaths(grid: FigureGrid, { depths, tints }: IsobathDepths) {
  const traced = depths.map((depth) => traceIsobath(grid, depth));
  const areas = traced.map(({ path }, i) => {
    const tint = tints[i] === undefined ? undefined : `t${tints[i]}`;
    return path === '' ? '' : svgElement('path', { class: tint, d: path, 'data-depth': short(depths[i], 3) });
  });
  return { markup: `<g class="iso">${areas.join('')}</g>`, lines: traced.map(({ lines }) => lines) };
}
