import { max } from 'd3-array';
import { depthsAt } from './path.ts';
import { simulateRetrieve } from './retrieve.ts';
import type { Handling, Line, LureDrag } from './rig.ts';
import type { Scratch } from './scratch.ts';

const DISTANCE_STEP = 1;
const DEPTH_STEP = 0.25;
/** Number of free paths that a table is made from. */
const PATHS = 14;
/** Shortest cast of a table, m. */
const SHORTEST = 4;
/** Entry for depths below the path of the longest cast, m: longer than any cast. */
const OUT_OF_REACH = 1e4;

export type DiveTable = ReturnType<typeof diveTable>;

/**
 * Makes the table of one lure: the cast with a free path through each distance and depth.
 *
 * A free path is the path of the lure in deep water. With the table, a retrieve over a bottom needs no
 * simulation: off the bottom, the lure stays on the free path of one cast, and where the bottom holds the
 * lure up, the lure moves to the free path that meets the bottom there.
 *
 * @param longest Longest cast, m.
 */
export function diveTable(
  { line, handling }: { readonly line: Line; readonly handling: Handling },
  lure: LureDrag,
  longest: number,
  { path, work }: Scratch,
) {
  const rows = Math.ceil(longest / DISTANCE_STEP) + 1;
  const casts = Array.from({ length: PATHS }, (_, k) => SHORTEST * (longest / SHORTEST) ** (k / (PATHS - 1)));
  const distances = Float64Array.from({ length: rows }, (_, row) => row * DISTANCE_STEP);
  const depths = casts.map((cast) => {
    simulateRetrieve({ cast, line, lure, handling }, undefined, 1.5, path, work);
    return depthsAt(path, distances);
  });
  const columns = Math.ceil((max(depths[PATHS - 1]) ?? 0) / DEPTH_STEP) + 2;
  const table = new Float64Array(rows * columns);
  for (let row = 0; row < rows; row++) fillRow(table, row, columns, casts, depths);
  // `cast` has a row of casts, m, for each distance.
  return { columns, rows, cast: table };
}

/** Fills the row of one distance with casts interpolated between the depths of the free paths. */
function fillRow(
  table: Float64Array,
  row: number,
  columns: number,
  casts: readonly number[],
  depths: readonly Float64Array[],
): void {
  let fromDepth = 0;
  let fromCast = row * DISTANCE_STEP;
  let column = 0;
  for (let k = 0; k < casts.length; k++) {
    const toDepth = depths[k][row];
    if (!(toDepth > fromDepth)) continue;
    for (; column < columns && column * DEPTH_STEP <= toDepth; column++) {
      const share = (column * DEPTH_STEP - fromDepth) / (toDepth - fromDepth);
      table[row * columns + column] = fromCast + share * (casts[k] - fromCast);
    }
    fromDepth = toDepth;
    fromCast = casts[k];
  }
  table.fill(OUT_OF_REACH, row * columns + column, (row + 1) * columns);
}

/**
 * Returns the length of the cast whose free path leads through a point, m.
 *
 * @param row Horizontal distance of the point from the rod, m, as a whole number. @param depth m, >= 0.
 */
export function castThrough({ columns, rows, cast }: DiveTable, row: number, depth: number): number {
  if (row >= rows) return OUT_OF_REACH;
  const at = depth / DEPTH_STEP;
  const column = at | 0;
  if (column >= columns - 1) return OUT_OF_REACH;
  const i = row * columns + column;
  return cast[i] + (at - column) * (cast[i + 1] - cast[i]);
}
