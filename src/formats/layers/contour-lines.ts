import { contours } from 'd3-contour';
import type { BottomGrid } from './bottom-grid.ts';

/** Lines of one depth, deg. */
export interface Contour {
  /** m. */
  readonly depth: number;
  readonly line: readonly (readonly [lon: number, lat: number])[];
}

/** How near to the depth of its line a vertex has to be, m. */
const SAME = 1e-3;

/**
 * Lines of equal depth on a grid, every `interval` meters, only where it has values on both sides.
 *
 * The library closes every line round the cells without a value, and along the edge: those pieces, whose vertices do not
 * have the depth of the line, are left out.
 */
export function contourLines(grid: BottomGrid, interval: number): Contour[] {
  const { columns, rows, depth, cell, west, north, system } = grid;
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const value of depth) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  const lines: Contour[] = [];
  const isOnLine = ([x, y]: readonly number[], threshold: number): boolean => {
    // In the library's plane node n stands at n + 0.5.
    const [u, v] = [x - 0.5, y - 0.5];
    if (u < 0 || v < 0 || u > columns - 1 || v > rows - 1) return false;
    const low = depth[Math.floor(v) * columns + Math.floor(u)];
    const high = depth[Math.ceil(v) * columns + Math.ceil(u)];
    const share = Math.max(u - Math.floor(u), v - Math.floor(v));
    return Math.abs(low + share * (high - low) - threshold) < SAME;
  };
  const place = ([x, y]: readonly number[]): readonly [number, number] =>
    system.toDegrees(west + x * cell, north - y * cell);
  for (let step = Math.ceil(least / interval); step * interval <= most; step++) {
    const threshold = step * interval;
    const shape = contours()
      .size([columns, rows])
      .contour(depth as unknown as number[], threshold);
    for (const ring of shape.coordinates.flat())
      for (const piece of piecesOf(ring, (vertex) => isOnLine(vertex, threshold)))
        lines.push({ depth: threshold, line: piece.map(place) });
  }
  return lines;
}

/** Stretches of a closed ring whose vertices all count, two or more of them. */
function piecesOf(
  ring: readonly (readonly number[])[],
  counts: (vertex: readonly number[]) => boolean,
): (readonly number[])[][] {
  const vertices = ring.slice(0, -1);
  const gap = vertices.findIndex((vertex) => !counts(vertex));
  if (gap < 0) return [[...vertices, vertices[0]]];
  const turned = [...vertices.slice(gap), ...vertices.slice(0, gap)];
  const pieces: (readonly number[])[][] = [];
  let piece: (readonly number[])[] = [];
  for (const vertex of [...turned, turned[0]]) {
    if (counts(vertex)) piece.push(vertex);
    else {
      if (piece.length > 1) pieces.push(piece);
      piece = [];
    }
  }
  return pieces;
}
