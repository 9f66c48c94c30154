import type { Soundings, Survey } from '../contract/index.ts';
import { findMeetings, type MeetingLists, type Meetings } from './meetings.ts';

/** Places where two passes cross: columns of equal length, one entry per crossing. */
export interface Crossings {
  readonly count: number;
  /** Row before the crossing on each of the two passes; the crossing lies between it and the next row. */
  readonly first: Int32Array;
  readonly second: Int32Array;
  /** Depth at the crossing on each pass, interpolated, m. */
  readonly firstDepth: Float64Array;
  readonly secondDepth: Float64Array;
}

/** Approximate number of crossings kept per log; more add nothing. */
const MAX_OF_LOG = 4000;

type Rows = Pick<Soundings, 'count' | 'lat' | 'lon' | 'depth' | 'pass'>;
type LoggedRows = Rows & Pick<Survey, 'log'>;

/**
 * Crossings of different passes, found exactly between neighboring rows (block means) of each.
 *
 * A survey of more than some 30,000 rows is sampled: only a fixed pattern of cells is searched, and of logs
 * with more than 4,000 crossings in those cells only a share is kept. The sample still represents the whole
 * lake, and is the same every time.
 */
export function findCrossings(survey: LoggedRows): Crossings {
  return describe(survey, fairShare(findMeetings(survey), survey.log));
}

/**
 * Thins out the meetings between logs that have many, and keeps every meeting that involves a log with few.
 */
function fairShare(all: Meetings, log: Int32Array): Meetings {
  const count = all.first.length;
  if (count <= MAX_OF_LOG) return all;
  // Rows are sorted by log, so the last row has the highest log number.
  const ofLog = new Int32Array(log[log.length - 1] + 1);
  for (let k = 0; k < count; k++) {
    const first = log[all.first[k]];
    const second = log[all.second[k]];
    ofLog[first]++;
    if (second !== first) ofLog[second]++;
  }
  const kept: MeetingLists = { first: [], second: [], along: [], across: [] };
  for (let k = 0; k < count; k++) {
    const least = Math.min(ofLog[log[all.first[k]]], ofLog[log[all.second[k]]]);
    if (k % Math.ceil(least / MAX_OF_LOG) > 0) continue;
    kept.first.push(all.first[k]);
    kept.second.push(all.second[k]);
    kept.along.push(all.along[k]);
    kept.across.push(all.across[k]);
  }
  return kept;
}

function describe(survey: Rows, { first, second, along, across }: Meetings): Crossings {
  const count = first.length;
  const crossings = {
    count,
    first: Int32Array.from(first),
    second: Int32Array.from(second),
    firstDepth: new Float64Array(count),
    secondDepth: new Float64Array(count),
  };
  for (let k = 0; k < count; k++) {
    crossings.firstDepth[k] = depthAfter(survey, first[k], along[k]);
    crossings.secondDepth[k] = depthAfter(survey, second[k], across[k]);
  }
  return crossings;
}

/** Depth interpolated between a row and the next, m; `share` runs from 0 at the row to 1 at the next. */
const depthAfter = ({ depth }: Rows, row: number, share: number): number =>
  depth[row] + share * (depth[row + 1] - depth[row]);
