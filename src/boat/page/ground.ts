import { contours } from 'd3-contour';
import { clamp } from 'es-toolkit';
import { type DisplayUnits, fromMeters, toMeters } from '../../../shared/contract/index.ts';
import { localFrame } from '../../../shared/geo/index.ts';
import { cutOut, type GroundLattice, localOf, nodeOf } from '../../../shared/lake/index.ts';
import { NOT_SOUNDED, type PackedDepths } from '../boat-data.ts';
import { TINTS } from '../colors.ts';
import { unpackNumbers } from '../pack.ts';

/** A point, in m east and south or in CSS pixels. */
export type Point = [x: number, y: number];

export type GroundPaths = ReturnType<Bottom['ground']>;

const STEPS: Readonly<Record<DisplayUnits, readonly number[]>> = {
  ft: [1, 2, 5, 10, 20, 50, 100],
  m: [0.5, 1, 2, 5, 10, 20, 50],
};

const MOST_TINTS = TINTS.light.length;

/** Distance between labels along an isobath when the whole lake is drawn, m. */
const LABEL_EVERY = 260;

export class Bottom {
  readonly lattice: GroundLattice;
  private readonly depth: Float32Array;
  private readonly units: DisplayUnits;

  constructor(packed: PackedDepths, units: DisplayUnits) {
    this.units = units;
    this.lattice = { ...packed, frame: localFrame(packed.lat, packed.lon) };
    this.depth = Float32Array.from(unpackNumbers(packed.depth), (value) =>
      value === NOT_SOUNDED ? Number.NaN : value / 100,
    );
  }

  /** Returns the position of a node, m east and south; fractional columns and rows are allowed. */
  private place(column: number, row: number): Point {
    const [east, north] = localOf(this.lattice, column, row);
    return [east, -north];
  }

  /**
   * Draws the whole lake, or a part of it, as paths, m east and south of the frame's origin.
   *
   * @returns `sounded`, the area with soundings; `shallows`, its part above the first isobath; and
   * `isobaths`, each with its `depth`, m, its `line`, its `band` (the area down to the next isobath) and its
   * `labels` (the places for labels).
   */
  ground(around?: Around) {
    const window = windowOf(this.lattice, this.depth, around);
    const { columns, rows, values } = window;
    const shapes = contours().size([columns, rows]);
    const place = (x: number, y: number) => this.place(x - 0.5 + window.column, y - 0.5 + window.row);
    const depths = this.isobathDepths(values);
    const shapeFrom = (depth: number): Shape => shapes.contour(values as never, depth).coordinates;
    const sounded = shapeFrom(-1000);
    const deeper = [...depths.map(shapeFrom), []];
    return {
      sounded: areaOf(sounded, place),
      shallows: areaOf([...sounded, ...deeper[0]], place),
      isobaths: depths.map((depth, at) => ({
        depth,
        // A band covers only its own depths. Areas that also covered everything deeper would fill most of
        // the lake several times, which is slow on a phone.
        band: areaOf([...deeper[at], ...deeper[at + 1]], place),
        ...lineOf(deeper[at], window, place, around?.reach ?? LABEL_EVERY),
      })),
    };
  }

  /** Returns the corners of the grid, m east and south. */
  corners(): Point[] {
    const { columns, rows } = this.lattice;
    return [0, columns - 1].flatMap((column) => [0, rows - 1].map((row) => this.place(column, row)));
  }

  private isobathDepths(values: Float32Array): number[] {
    const known = values.filter((value) => !Number.isNaN(value)).sort();
    const [low, high] = [0.02, 0.98].map((share) =>
      fromMeters(known[Math.floor(known.length * share)] ?? 0, this.units),
    );
    const steps = STEPS[this.units];
    const inside = (step: number): number => Math.floor(high / step) - Math.floor(low / step);
    const step = steps.find((each) => inside(each) < MOST_TINTS) ?? steps[steps.length - 1];
    const first = Math.floor(low / step) + 1;
    const count = Math.min(MOST_TINTS - 1, inside(step));
    return Array.from({ length: count }, (_, at) => toMeters((first + at) * step, this.units));
  }
}

/** Square part of the lake: its middle, m east and south, and half its side, m. */
interface Around {
  readonly middle: Point;
  readonly reach: number;
}

type Window = ReturnType<typeof windowOf>;

function windowOf(lattice: GroundLattice, depth: Float32Array, around: Around | undefined) {
  const { columns, rows, cell } = lattice;
  if (around === undefined) return { column: 0, row: 0, columns, rows, values: depth };
  const [east, south] = around.middle;
  const middle = nodeOf(lattice, ...lattice.frame.toGeographic(east, -south));
  const reach = (around.reach * Math.SQRT2) / cell + 1;
  const [[column, wide], [row, high]] = [columns, rows].map((count, axis) => {
    const first = clamp(Math.floor(middle[axis] - reach), 0, count - 1);
    return [first, clamp(Math.ceil(middle[axis] + reach) - first, 1, count - first)];
  });
  const values = cutOut(depth, columns, column, row, wide, high);
  return { column, row, columns: wide, rows: high, values };
}

type Shape = readonly (readonly (readonly (readonly number[])[])[])[];
type Placing = (x: number, y: number) => Point;

export function areaOf(shape: Shape, place: Placing): Path2D {
  const path = new Path2D();
  for (const ring of shape.flat()) {
    const [first, ...others] = ring.map(([x, y]) => place(x, y));
    path.moveTo(...first);
    for (const point of others) path.lineTo(...point);
    path.closePath();
  }
  return path;
}

/**
 * Draws a contour as a line, except along the edge of the soundings, and finds places for labels.
 *
 * @param spacing Distance between labels, m.
 */
function lineOf(shape: Shape, window: Window, place: Placing, spacing: number) {
  const line = new Path2D();
  const labels: Point[] = [];
  for (const ring of shape.flat()) {
    let since = spacing / 2;
    let before: Point | undefined;
    for (const [x, y] of ring) {
      const here = isInside(window, x, y) ? place(x, y) : undefined;
      if (here !== undefined && before === undefined) line.moveTo(...here);
      if (here !== undefined && before !== undefined) {
        line.lineTo(...here);
        since += Math.hypot(here[0] - before[0], here[1] - before[1]);
      }
      if (here !== undefined && since >= spacing) {
        labels.push(here);
        since = 0;
      }
      before = here;
    }
  }
  return { line, labels };
}

/**
 * Tells whether all nodes around a point of a contour are sounded. d3-contour puts node n at n + 0.5. The
 * edge of the soundings may pass through a node, so at a node the nodes on both sides of it must be sounded
 * too.
 */
function isInside({ columns, rows, values }: Window, x: number, y: number): boolean {
  const [left, right] = [Math.floor(x - 0.5 - NUDGE), Math.ceil(x - 0.5 + NUDGE)];
  const [low, high] = [Math.floor(y - 0.5 - NUDGE), Math.ceil(y - 0.5 + NUDGE)];
  if (left < 0 || low < 0 || right >= columns || high >= rows) return false;
  for (let row = low; row <= high; row++)
    for (let column = left; column <= right; column++)
      if (Number.isNaN(values[row * columns + column])) return false;
  return true;
}

/** Distance within which a point counts as exactly at a node, cells. */
const NUDGE = 1e-6;
