import KDBush from 'kdbush';
import type { Lattice } from './raster.ts';

/** Maximum gap that a line may bridge, m. */
const GAP = 30;
const MIN_LENGTH = 30;
/** Minimum length of a line within `GAP` of a line of at least `MIN_LENGTH`, m. */
const MIN_BRANCH = 15;
/** Maximum turn at each end of the gap between two joined pieces, deg. */
const MAX_TURN = 60;
/** Length at the end of a piece over which the course of the end is measured, m. */
const COURSE_LENGTH = 20;

/**
 * Joins the nodes of one kind of line into lines.
 *
 * Neighboring nodes form a piece. The longest way through a branching piece is one line; the remaining nodes
 * form more lines. Ends that face each other across at most 30 m are joined. Lines shorter than 30 m are
 * dropped, except branches: lines of at least 15 m near a longer line. Branches are kept because centimeters
 * of depth decide which of two branches is the longer one.
 *
 * @param placeOf Returns the place where the line passes a node, in nodes.
 * @returns The nodes of each line, in order along the line.
 */
export function linkNodes(lattice: Lattice, nodes: Uint8Array, placeOf: PlaceOf): number[][] {
  const left = nodes.slice();
  const eachNear = neighborsIn(lattice, left);
  const search = searcher(left.length, eachNear);
  const pieces: number[][] = [];
  for (let seed = left.indexOf(1); seed >= 0; seed = left.indexOf(1, seed)) {
    const piece = longestWay(search, seed);
    // Nodes beside the piece belong to the same line.
    for (const node of piece)
      eachNear(node, (next) => {
        left[next] = 0;
      });
    for (const node of piece) left[node] = 0;
    pieces.push(piece);
  }
  const lines = joinEnds(lattice, pieces, placeOf).map((nodes) => {
    const places = nodes.map(placeOf);
    return { nodes, places, length: lengthOf(places) };
  });
  // A line reaches half a cell beyond its nodes at both ends.
  const [least, leastBranch] = [MIN_LENGTH, MIN_BRANCH].map((length) => length / lattice.cell - 1);
  const long = lines.filter(({ length }) => length >= least).flatMap(({ places }) => places);
  if (long.length === 0) return [];
  const index = indexOf(long);
  const isNearLong = ([x, y]: Point): boolean => index.within(x, y, GAP / lattice.cell).length > 0;
  return lines
    .filter(({ places, length }) => length >= least || (length >= leastBranch && places.some(isNearLong)))
    .map(({ nodes }) => nodes);
}

/**
 * Searches all nodes connected with a start node; `last` is the last node found, and `from` holds the node
 * before each node found, -1 for the start.
 */
type Search = (start: number) => { readonly last: number; readonly from: Int32Array };

/** Finds nearly the longest of the shortest paths in the piece around `seed`, by two searches. */
function longestWay(search: Search, seed: number): number[] {
  const { last, from } = search(search(seed).last);
  const way: number[] = [];
  for (let node = last; node >= 0; node = from[node]) way.push(node);
  return way;
}

function searcher(size: number, eachNear: Near): Search {
  const from = new Int32Array(size);
  /** Number of the last search that reached each node. */
  const seen = new Uint32Array(size);
  let number = 0;
  return (start) => {
    seen[start] = ++number;
    from[start] = -1;
    const queue = [start];
    for (const node of queue)
      eachNear(node, (next) => {
        if (seen[next] === number) return;
        seen[next] = number;
        from[next] = node;
        queue.push(next);
      });
    return { last: queue[queue.length - 1], from };
  };
}

const AROUND = [
  [1, 0],
  [0, 1],
  [-1, 0],
  [0, -1],
  [1, 1],
  [-1, 1],
  [1, -1],
  [-1, -1],
] as const;

type Near = (node: number, use: (next: number) => void) => void;

function neighborsIn({ columns, rows }: Lattice, nodes: Uint8Array): Near {
  return (node, use) => {
    const [x, y] = [node % columns, Math.floor(node / columns)];
    for (const [dx, dy] of AROUND) {
      const [nx, ny] = [x + dx, y + dy];
      const next = ny * columns + nx;
      if (nx >= 0 && ny >= 0 && nx < columns && ny < rows && nodes[next] === 1) use(next);
    }
  };
}

type Point = readonly [x: number, y: number];
type PlaceOf = (node: number) => Point;

/** Returns the length of a line through places, in the unit of the places. */
export const lengthOf = (places: readonly Point[]): number =>
  places.slice(1).reduce((sum, [x, y], i) => sum + Math.hypot(x - places[i][0], y - places[i][1]), 0);

/** One end of a piece, with its position in m. */
interface End {
  readonly piece: number;
  readonly isStart: boolean;
  readonly at: Point;
  readonly course: number | undefined;
}

/** Joins ends that face each other, closest pairs first. Each end is joined at most once. */
function joinEnds({ cell }: Lattice, pieces: readonly number[][], placeOf: PlaceOf): number[][] {
  const placeAt = (node: number): Point => {
    const [x, y] = placeOf(node);
    return [cell * x, cell * y];
  };
  const ends = pieces.flatMap((line, piece) =>
    [true, false].map((isStart): End => {
      const at = placeAt(isStart ? line[0] : line[line.length - 1]);
      return { piece, isStart, at, course: courseOut(placeAt, line, isStart) };
    }),
  );
  const joined = new Map<End, End>();
  const chain = pieces.map((_, piece) => piece);
  const chainOf = (piece: number): number => (chain[piece] === piece ? piece : chainOf(chain[piece]));
  for (const [a, b] of facingEnds(ends)) {
    if (joined.has(a) || joined.has(b) || chainOf(a.piece) === chainOf(b.piece)) continue;
    joined.set(a, b);
    joined.set(b, a);
    chain[chainOf(a.piece)] = chainOf(b.piece);
  }
  const lines: number[][] = [];
  const done = new Set<number>();
  for (const end of ends) {
    if (joined.has(end) || done.has(end.piece)) continue;
    const line: number[] = [];
    for (let from: End | undefined = end; from !== undefined; ) {
      const piece = pieces[from.piece];
      line.push(...(from.isStart ? piece : piece.toReversed()));
      done.add(from.piece);
      from = joined.get(ends[2 * from.piece + (from.isStart ? 1 : 0)]);
    }
    lines.push(line);
  }
  return lines;
}

function indexOf(points: readonly Point[]): KDBush {
  const index = new KDBush(points.length);
  for (const [x, y] of points) index.add(x, y);
  return index.finish();
}

function facingEnds(ends: readonly End[]): (readonly [End, End])[] {
  if (ends.length === 0) return [];
  const index = indexOf(ends.map(({ at }) => at));
  const pairs: { pair: readonly [End, End]; gap: number }[] = [];
  ends.forEach((a, number) => {
    for (const other of index.within(a.at[0], a.at[1], GAP)) {
      const b = ends[other];
      if (other <= number || a.piece === b.piece) continue;
      const [dx, dy] = [b.at[0] - a.at[0], b.at[1] - a.at[1]];
      const way = Math.atan2(dy, dx);
      if (turnOf(way, a.course) <= MAX_TURN && turnOf(way + Math.PI, b.course) <= MAX_TURN)
        pairs.push({ pair: [a, b], gap: Math.hypot(dx, dy) });
    }
  });
  return pairs.sort((a, b) => a.gap - b.gap).map(({ pair }) => pair);
}

/** Returns the angle between the directions `way` and `course` (rad), deg; 0 without a course. */
function turnOf(way: number, course: number | undefined): number {
  if (course === undefined) return 0;
  return (Math.abs(Math.atan2(Math.sin(way - course), Math.cos(way - course))) * 180) / Math.PI;
}

/** Finds the outward direction at an end of a line, rad; undefined for lines under `COURSE_LENGTH`. */
function courseOut(
  placeAt: (node: number) => Point,
  line: readonly number[],
  atStart: boolean,
): number | undefined {
  const nodeAt = (step: number): number => line[atStart ? step : line.length - 1 - step];
  const end = placeAt(nodeAt(0));
  let [before, length] = [end, 0];
  for (let step = 1; step < line.length; step++) {
    const at = placeAt(nodeAt(step));
    length += lengthOf([before, at]);
    if (length >= COURSE_LENGTH) return Math.atan2(end[1] - at[1], end[0] - at[0]);
    before = at;
  }
  return undefined;
}
