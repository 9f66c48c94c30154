import { countBy } from 'es-toolkit/array';
import Flatbush from 'flatbush';
import type { Soundings, Survey } from '../contract/index.ts';
import { flatten, isSampled } from './steps.ts';

export interface Crossing {
  /** Rows of the two passes just before the crossing. */
  readonly first: number;
  readonly second: number;
  /** Depths on the two passes, interpolated at the crossing, m. */
  readonly firstDepth: number;
  readonly secondDepth: number;
}

/** Number of crossings of a log above which its crossings may be thinned out. */
const MAX_OF_LOG = 4000;
/** Approximate maximum number of pieces searched; a larger survey is searched only in a sample of cells. */
const MAX_PIECES = 30_000;
/** Side of the cells that are sampled, m: several blocks long. */
const CELL = 10;
/** Maximum extent of a piece, east and north, m; a longer piece is a gap. */
const LONGEST_PIECE = 25;

type Rows = Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'pass'>;

/**
 * Finds where passes cross, on the straight lines between consecutive rows of each pass.
 *
 * In a survey of more than 30,000 rows, only a fixed pattern of cells all over the lake is searched. If a log
 * has more than 4,000 crossings, only a share of the crossings with itself and with other such logs is kept.
 */
export const findCrossings = (survey: Rows & Pick<Survey, 'log'>): Crossing[] =>
  fairShare(allCrossings(survey), survey.log);

/** Finds the crossings in the sampled cells, ordered by row of the first pass. */
export function allCrossings(survey: Rows): Crossing[] {
  const { count, pass, depth } = survey;
  const { east, north } = flatten(survey);
  const share = Math.ceil(count / MAX_PIECES);
  /** First row of each piece; a piece is the line from one row of a pass to the next. */
  const pieces: number[] = [];
  for (let i = 0; i + 1 < count; i++) {
    if (pass[i] !== pass[i + 1]) continue;
    if (Math.max(Math.abs(east[i + 1] - east[i]), Math.abs(north[i + 1] - north[i])) > LONGEST_PIECE)
      continue;
    if (isInSample(i)) pieces.push(i);
  }
  if (pieces.length === 0) return [];
  const index = new Flatbush(pieces.length);
  for (const i of pieces) index.add(...boxOf(i));
  index.finish();
  return pieces.flatMap((a, at) =>
    index
      .search(...boxOf(a), (other) => other > at && pass[pieces[other]] !== pass[a])
      .sort((b, c) => b - c)
      .flatMap((other) => crossingOf(a, pieces[other]) ?? []),
  );

  function boxOf(i: number): [west: number, south: number, east: number, north: number] {
    return [
      Math.min(east[i], east[i + 1]),
      Math.min(north[i], north[i + 1]),
      Math.max(east[i], east[i + 1]),
      Math.max(north[i], north[i + 1]),
    ];
  }

  function isInSample(i: number): boolean {
    const [west, south, right, top] = boxOf(i).map((side) => Math.floor(side / CELL));
    for (let column = west; column <= right; column++)
      for (let row = south; row <= top; row++) if (isSampled(column, row, share)) return true;
    return false;
  }

  function crossingOf(a: number, b: number): Crossing | undefined {
    const [ax, ay] = [east[a + 1] - east[a], north[a + 1] - north[a]];
    const [bx, by] = [east[b + 1] - east[b], north[b + 1] - north[b]];
    const [dx, dy] = [east[b] - east[a], north[b] - north[a]];
    const cross = ax * by - ay * bx;
    // Infinite or NaN where the pieces are parallel.
    const along = (dx * by - dy * bx) / cross;
    const across = (dx * ay - dy * ax) / cross;
    if (!(along >= 0 && along < 1 && across >= 0 && across < 1)) return undefined;
    const [x, y] = [east[a] + along * ax, north[a] + along * ay];
    if (!isSampled(Math.floor(x / CELL), Math.floor(y / CELL), share)) return undefined;
    return { first: a, second: b, firstDepth: depthAfter(a, along), secondDepth: depthAfter(b, across) };
  }

  function depthAfter(row: number, along: number): number {
    return depth[row] + along * (depth[row + 1] - depth[row]);
  }
}

/** Keeps every crossing of a log with few crossings; thins out those within or between the other logs. */
function fairShare(all: readonly Crossing[], log: Int32Array): Crossing[] {
  const ofLog = countBy(
    all.flatMap(({ first, second }) => [...new Set([log[first], log[second]])]),
    (own) => own,
  );
  return all.filter(({ first, second }, k) => {
    const least = Math.min(ofLog[log[first]], ofLog[log[second]]);
    return k % Math.ceil(least / MAX_OF_LOG) === 0;
  });
}
