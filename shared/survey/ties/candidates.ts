import type { Suspicion, SuspicionKind, TieSearch } from './finding.ts';
import { clippedScores, type Fit, fitColumn } from './fit.ts';
import {
  complementOf,
  type FileGroup,
  type Group,
  groupColumn,
  groupsOf,
  logsOf,
  membersOf,
  type RowGroup,
  shareOf,
} from './group.ts';
import { searchStretch } from './stretch-search.ts';
import { differenceOf, type Ties, withDepths } from './ties.ts';

/** Thresholds that a fault must pass to be reported. */
interface Bar {
  /** Minimum size in standard errors, and minimum effect, m. */
  readonly sure: number;
  readonly least: number;
  /**
   * Minimum share of the places that agree in sign, share of the loss removed, and numbers of places and legs.
   */
  readonly agree: number;
  readonly removed: number;
  readonly places: number;
  readonly legs: number;
  /** Factor on the gain when faults are ranked; below 1 favors simpler faults. */
  readonly simple: number;
}

const BARS: Readonly<Record<SuspicionKind, Bar>> = {
  offset: { sure: 4, least: 0.15, agree: 0.7, removed: 0.12, places: 4, legs: 2, simple: 1 },
  stretch: { sure: 6.5, least: 0.4, agree: 0.75, removed: 0.12, places: 20, legs: 6, simple: 0.92 },
  drift: { sure: 6.5, least: 0.3, agree: 0.65, removed: 0.12, places: 20, legs: 6, simple: 0.95 },
  shift: { sure: 6, least: 0.15, agree: 0.65, removed: 0.12, places: 12, legs: 4, simple: 0.95 },
  lag: { sure: 6, least: 0.03, agree: 0.6, removed: 0.05, places: 20, legs: 6, simple: 0.98 },
  heading: { sure: 5, least: 0.2, agree: 0.7, removed: 0.12, places: 12, legs: 4, simple: 0.95 },
};
/** Minimum share of the track that a faulty group must have; less is only a single place. */
const MIN_SHARE = 0.03;
/** With fewer legs than this, each weighs heavily, so twice the effect is required. */
const FEW_LEGS = 12;
/** A fault that explains at least this share of what the best one explains is reported as its rival. */
const ALIKE = 0.95;

/**
 * The fault that explains most of the remaining disagreement, with a rival of another kind that explains it about
 * as well; undefined when no fault passes its thresholds.
 */
export function mostLikely(work: TieSearch): Suspicion | undefined {
  const known = allCandidates(work).filter(
    ({ kind, fit, effect, group }) =>
      passes(BARS[kind], fit, effect) && shareOf(work.ties, group) >= MIN_SHARE,
  );
  const worth = ({ kind, fit }: Suspicion): number => BARS[kind].simple * fit.gain;
  known.sort((a, b) => worth(b) - worth(a));
  const [best, ...others] = known;
  if (best === undefined) return undefined;
  const rival = others.find(
    ({ kind, fit }) => kind !== best.kind && kind !== 'stretch' && fit.gain >= ALIKE * best.fit.gain,
  );
  return rival === undefined ? best : { ...best, rival };
}

function passes(bar: Bar, fit: Fit, effect: number): boolean {
  return (
    Math.abs(fit.size) >= bar.sure * fit.sd &&
    effect >= bar.least * (fit.legs < FEW_LEGS ? 2 : 1) &&
    fit.agree >= bar.agree &&
    fit.removed >= bar.removed &&
    fit.places >= bar.places &&
    fit.legs >= bar.legs
  );
}

function allCandidates(work: TieSearch): Suspicion[] {
  const groups = groupsOf(work.ties);
  const logs = logsOf(work.ties);
  return [
    ...groups
      .filter((group) => !isLargerOfTwo(work.ties, group))
      .map((group) => suspect(work, 'offset', group)),
    ...(logs.length > 1 ? logs.map((group) => shiftOf(work, group)) : []),
    ...sessionsOf(work.ties).map((group) => driftOf(work, group)),
    ...logs.map((group) => headingOf(work, group)),
    latencyOf(work, { kind: 'all' }),
    ...(logs.length > 1 ? logs.map((group) => latencyOf(work, group)) : []),
    stretchOf(work),
  ].filter((found) => found !== undefined);
}

/**
 * Fits a candidate fault that has one column; undefined when it cannot be fitted. @param usual Difference in depth that
 * a fault of size 1 causes, m.
 */
function suspect(
  work: TieSearch,
  kind: SuspicionKind,
  group: Group,
  valueAt: Suspicion['valueAt'] = () => 1,
  usual = 1,
): Suspicion | undefined {
  const fit = fitColumn(work.ties, work.difference, groupColumn(work.ties, group, valueAt), work.place);
  return fit && { kind, group, size: fit.size, fit, effect: Math.abs(fit.size) * usual, valueAt };
}

/** True for the larger of exactly two files or days: the smaller one is corrected to match it. */
function isLargerOfTwo(ties: Ties, group: Group): boolean {
  const other = complementOf(ties, group);
  return other !== undefined && shareOf(ties, group) > Math.max(0.5, shareOf(ties, other));
}

/** Change of level that must not go unnoticed, m: two feet. */
const SEEN = 0.6;

/** True when a change of level between a group and the rest of the survey would be detected. */
export function wouldShow(work: TieSearch, group: Group): boolean {
  const kind = group.kind === 'rows' ? 'stretch' : 'offset';
  const found = suspect(work, kind, group);
  if (found === undefined) return false;
  const sure = { ...found.fit, size: SEEN, agree: 1, removed: 1 };
  return passes({ ...BARS[kind], least: SEEN / 2 }, sure, SEEN);
}

function stretchOf(work: TieSearch): Suspicion | undefined {
  const group = searchStretch(work.ties, work.difference);
  return group && suspect(work, 'stretch', group);
}

/** Fewest nodes of a session in which a drift is searched for. */
const FEWEST_OF_SESSION = 60;

/** Consecutive nodes `[first, last]` of one file and day, also as a group of rows. */
type Session = RowGroup & { readonly first: number; readonly last: number };

export function sessionsOf({ nodes }: Ties): Session[] {
  const { count, log, day, row, end } = nodes;
  const sessions: Session[] = [];
  for (let first = 0; first < count; ) {
    let last = first;
    while (last + 1 < count && log[last + 1] === log[first] && day[last + 1] === day[first]) last++;
    if (last - first >= FEWEST_OF_SESSION)
      sessions.push({ kind: 'rows', log: log[first], from: row[first], to: end[last], first, last });
    first = last + 1;
  }
  return sessions;
}

/** Level that changes linearly over a session: in time or, without times, in distance along the track. */
function driftOf(work: TieSearch, group: Session): Suspicion | undefined {
  const { nodes } = work.ties;
  const { first, last } = group;
  const since = nodes.time[last] - nodes.time[first] > 0 ? nodes.time : nodes.way;
  const all = since[last] - since[first];
  const value = (node: number): number => {
    const share = (since[node] - since[first]) / all;
    return Number.isNaN(share) ? 0 : Math.min(1, Math.max(0, share)) - 0.5;
  };
  return all > 0 ? suspect(work, 'drift', group, value) : undefined;
}

/** Least cosine of the angle to the main axis at which a node counts as run in one direction or the other. */
const ALONG = 0.7;

/** Passes in one direction deeper than passes in the other. */
const headingOf = (work: TieSearch, group: FileGroup): Suspicion | undefined =>
  suspect(work, 'heading', group, wayOf(work.ties, group.log));

/**
 * 0.5 or -0.5 by the direction in which a node was run along the main axis of its log's track; 0 for a node
 * across the axis.
 */
export function wayOf({ nodes }: Ties, ofLog: number): (node: number) => number {
  const { courseEast, courseNorth, log, count } = nodes;
  let [cos2, sin2] = [0, 0];
  for (let i = 0; i < count; i++) {
    if (log[i] !== ofLog) continue;
    cos2 += courseNorth[i] ** 2 - courseEast[i] ** 2;
    sin2 += 2 * courseEast[i] * courseNorth[i];
  }
  const axis = Math.atan2(sin2, cos2) / 2;
  const [east, north] = [Math.sin(axis), Math.cos(axis)];
  return (node) => {
    const along = courseEast[node] * east + courseNorth[node] * north;
    return Math.abs(along) < ALONG ? 0 : Math.sign(along) / 2;
  };
}

/** Positions that lag behind the depths: each depth belongs to a place farther along the track. */
export function latencyOf(work: TieSearch, group: Group): Suspicion | undefined {
  const { rate } = work.ties.nodes;
  const value = (node: number): number => (Number.isNaN(rate[node]) ? 0 : rate[node]);
  return suspect(work, 'lag', group, value, rms(work.ties, group, value));
}

/**
 * Positions of a file shifted relative to the others: depths then differ by the shift times the slope of the
 * bottom.
 */
function shiftOf(work: TieSearch, group: FileGroup): Suspicion | undefined {
  const { ties, difference } = work;
  const { slopeEast, slopeNorth } = ties;
  const [east, north] = [slopeEast, slopeNorth].map((slope) => {
    const { at, value } = groupColumn(ties, group, (i) => slope[i]);
    const dense = new Float64Array(slope.length);
    for (let k = 0; k < at.length; k++) dense[at[k]] = value[k];
    return dense;
  });
  const scores = clippedScores(ties, difference);
  let [ee, en, nn, er, nr] = [0, 0, 0, 0, 0];
  for (let i = 0; i < east.length; i++) {
    if (east[i] === 0 && north[i] === 0) continue;
    const square = ties.noise[i] ** 2;
    ee += east[i] ** 2 / square;
    nn += north[i] ** 2 / square;
    en += (east[i] * north[i]) / square;
    er += east[i] * scores[i];
    nr += north[i] * scores[i];
  }
  const determinant = ee * nn - en * en;
  if (!(determinant > 1e-9 * ee * nn)) return undefined;
  const [x, y] = [(nn * er - en * nr) / determinant, (ee * nr - en * er) / determinant];
  const long = Math.hypot(x, y);
  if (!(long > 0)) return undefined;
  const value = (node: number): number => (x * slopeEast[node] + y * slopeNorth[node]) / long;
  const found = suspect(work, 'shift', group, value, rms(ties, group, value));
  // A bottom that deepens eastward reads too shallow where positions are too far east.
  const toward = ((Math.atan2(-x, -y) * 180) / Math.PI + 360) % 360;
  return found && { ...found, toward };
}

function rms(ties: Ties, group: Group, value: (node: number) => number): number {
  const members = membersOf(ties, group);
  const sum = members.reduce((all, node) => all + value(node) ** 2, 0);
  return Math.sqrt(sum / Math.max(1, members.length));
}

/** How the depths of a file or day compare with the rest over the same bottom. */
export interface GroupTie {
  readonly group: Group;
  /** Meters by which the group is deeper; undefined when nothing compares it with the rest, like `ratio`. */
  readonly offset?: Fit;
  /** Depths of the group divided by depths of the rest. */
  readonly ratio?: Pick<Fit, 'size' | 'sd'>;
}

/** Offsets and ratios of every file and every day. */
export function groupTies(work: TieSearch): GroupTie[] {
  const { ties, place } = work;
  const logarithms = ties.nodes.depth.map((depth) => Math.log(Math.max(0.3, depth)));
  const inLogs = withDepths(ties, logarithms);
  const ratios = differenceOf(inLogs, logarithms);
  return groupsOf(ties).map((group) => {
    const offset = suspect(work, 'offset', group)?.fit;
    const ratio = fitColumn(inLogs, ratios, groupColumn(ties, group), place);
    if (offset === undefined || ratio === undefined) return { group };
    const size = Math.exp(ratio.size);
    return { group, offset, ratio: { size, sd: size * ratio.sd } };
  });
}
