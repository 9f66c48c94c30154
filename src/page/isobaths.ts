import { contours } from 'd3-contour';
import { type CurveFactory, curveCatmullRom, curveLinear, line } from 'd3-shape';
import { type DisplayUnits, fromMeters, toMeters } from '../../shared/contract/index.ts';
import { type PathWriter, pathWriter } from './path-writer.ts';
import { type FigurePlace, short, simplify, svgElement } from './svg.ts';

/** Values on a row-major grid, with the mapping from nodes to the figure. */
export interface FigureGrid {
  readonly columns: number;
  readonly rows: number;
  /** NaN where there is no value. */
  readonly values: ArrayLike<number>;
  /** Figure place of a node; fractional columns and rows are allowed. */
  toFigure(column: number, row: number): FigurePlace;
}

/** The area at least as deep as a threshold, in figure units. */
export interface IsobathArea {
  /** Closed rings; pieces along the edge of the grid run half a cell outside it. */
  readonly rings: readonly FigurePlace[][];
  /** The isobath itself: the rings without their pieces along the edge. */
  readonly lines: readonly FigurePlace[][];
  /** Path data of the closed rings, smoothed along the isobath. */
  readonly path: string;
  /** Path data of `lines`, smoothed. */
  readonly linePath: string;
}

/**
 * Traces the isobath of one depth, interpolating linearly between nodes. @param depth In the unit of the grid's
 * values.
 */
export function traceIsobath(grid: FigureGrid, depth: number): IsobathArea {
  const { columns, rows } = grid;
  const shape = contours()
    .size([columns, rows])
    .contour(grid.values as number[], depth);
  const isEdge = ([x, y]: number[]) => x <= 0 || y <= 0 || x >= columns || y >= rows;
  const rings: FigurePlace[][] = [];
  const lines: FigurePlace[][] = [];
  const areas = pathWriter();
  const open = pathWriter();
  for (const ring of shape.coordinates.flat()) {
    // In d3-contour's coordinates, node n is at n + 0.5.
    const nodes = ring.slice(0, -1);
    const places = nodes.map(([x, y]) => grid.toFigure(x - 0.5, y - 0.5));
    const edge = nodes.map(isEdge);
    rings.push(places);
    const runs = splitRing(places, edge);
    for (const run of runs) {
      if (run.isEdge || run.places.length < 2) continue;
      const piece = run.isClosed ? [...run.places, run.places[0]] : run.places;
      lines.push(piece);
      drawCurve(piece, curveCatmullRom, open);
    }
    drawRing(runs, areas);
  }
  return { rings, lines, path: areas.text(), linePath: open.text() };
}

interface Run {
  readonly isEdge: boolean;
  readonly places: FigurePlace[];
  readonly isClosed: boolean;
}

/** Splits a ring into pieces of the isobath and pieces along the edge of the grid. */
function splitRing(places: readonly FigurePlace[], edge: readonly boolean[]): Run[] {
  const start = edge.findIndex((isEdge, i) => isEdge !== edge[(i + edge.length - 1) % edge.length]);
  if (start < 0) return [{ isEdge: edge[0], places: [...places], isClosed: true }];
  const runs: Run[] = [];
  for (let i = 0; i < places.length; i += 1) {
    const at = (start + i) % places.length;
    const last = runs.at(-1);
    if (last !== undefined && last.isEdge === edge[at]) last.places.push(places[at]);
    else runs.push({ isEdge: edge[at], places: [places[at]], isClosed: false });
  }
  return runs;
}

/** Draws the pieces of one ring in order and closes the ring. */
function drawRing(runs: readonly Run[], writer: PathWriter): void {
  // d3's curves close a path that has a single place, but only the whole ring may be closed.
  const first: PathWriter = { ...writer, closePath: () => undefined };
  // Later pieces continue from the end of the previous one.
  const later: PathWriter = { ...first, moveTo: writer.lineTo };
  runs.forEach((run, i) => {
    const places = run.isClosed ? [...run.places, run.places[0]] : run.places;
    drawCurve(places, run.isEdge ? curveLinear : curveCatmullRom, i === 0 ? first : later);
  });
  writer.closePath();
}

/**
 * The part of a grid that a map shows, with a margin of two nodes on every side.
 *
 * @param isShown Returns true for a figure place on the map.
 */
export function cropGrid(grid: FigureGrid, isShown: (place: FigurePlace) => boolean): FigureGrid {
  let [left, right, low, high] = [grid.columns, -1, grid.rows, -1];
  for (let row = 0; row < grid.rows; row += 1) {
    for (let column = 0; column < grid.columns; column += 1) {
      if (!isShown(grid.toFigure(column, row))) continue;
      [left, right] = [Math.min(left, column), Math.max(right, column)];
      [low, high] = [Math.min(low, row), Math.max(high, row)];
    }
  }
  if (right < 0) return grid;
  [left, low] = [Math.max(0, left - 2), Math.max(0, low - 2)];
  [right, high] = [Math.min(grid.columns - 1, right + 2), Math.min(grid.rows - 1, high + 2)];
  const columns = right - left + 1;
  const rows = high - low + 1;
  const values = Float64Array.from(
    { length: columns * rows },
    (_, k) => grid.values[(low + Math.floor(k / columns)) * grid.columns + left + (k % columns)],
  );
  return {
    columns,
    rows,
    values,
    toFigure: (column, row) => grid.toFigure(column + left, row + low),
  };
}

/**
 * Function that returns true for a figure place where the nearest node is 1. The grid may be rotated, so its axes are
 * taken from three of its nodes.
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

/** Distance by which thinning may move an isobath, figure units: less than the width of its stroke. */
const THIN = 0.25;

function drawCurve(places: readonly FigurePlace[], factory: CurveFactory, writer: PathWriter): void {
  line<FigurePlace>()
    .x((place) => place[0])
    .y((place) => place[1])
    .curve(factory)
    .context(writer as never)(simplify(places, THIN));
}

/**
 * Steps between isobaths in the user's unit, each with the maximum number of lines. The finest steps are close to
 * the standard deviation of the depths, so they are used only for nearly level bottom.
 */
const INTERVALS: Readonly<Record<DisplayUnits, readonly (readonly [step: number, most: number])[]>> = {
  ft: [
    [1, 6],
    [2, 13],
    [5, 13],
    [10, 13],
    [20, 13],
    [50, 13],
  ],
  m: [
    [0.25, 6],
    [0.5, 13],
    [1, 13],
    [2, 13],
    [5, 13],
    [10, 13],
    [20, 13],
  ],
};

/** Depths of isobaths over a range of depths, and the step between them. */
export interface IsobathDepths {
  /** Step, in the user's unit. */
  readonly interval: number;
  /** m, ascending. */
  readonly depths: readonly number[];
  /**
   * Tint of the area deeper than each isobath, from 1 up, for index isobaths; undefined for intermediate ones.
   */
  readonly tints: readonly (number | undefined)[];
}

/**
 * Chooses isobaths at the finest usual step that does not crowd the map. Every isobath begins a new tint or, when
 * there are more isobaths than tints, every second, third and so on.
 *
 * @param from m. @param to m, not less than `from`. @param maxTints Maximum number of tints.
 * @param crowd Factor on the maximum number of lines.
 */
export function chooseIsobaths(
  from: number,
  to: number,
  units: DisplayUnits,
  maxTints: number,
  crowd = 1,
): IsobathDepths {
  const low = fromMeters(from, units);
  const high = fromMeters(to, units);
  const steps = INTERVALS[units];
  const [interval] =
    steps.find(([step, most]) => (high - low) / step <= most * crowd) ?? steps[steps.length - 1];
  const numbers: number[] = [];
  for (let k = Math.ceil(low / interval); k * interval <= high; k += 1) if (k > 0) numbers.push(k);
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
 * Path of the area at or deeper than an isobath, filled when a tint begins there, with its depth in `data-depth`.
 */
export const isobathPath = (path: string, depth: number, tint: number | undefined): string =>
  svgElement('path', {
    class: tint === undefined ? undefined : `t${tint}`,
    d: path,
    'data-depth': short(depth, 3),
  });
