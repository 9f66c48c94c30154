import { mean } from 'es-toolkit/math';
import { bearingOf } from '../../geo/index.ts';
import { rowRuns } from '../../math/index.ts';
import type { Suspicion } from './finding.ts';
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
import { type Ties, withDepths } from './ties.ts';

/** Thresholds that a fault must reach to be reported. */
interface Bar {
  /** Minimum size, in standard errors. */
  readonly sure: number;
  /** Minimum effect, m. */
  readonly least: number;
  readonly agree: number;
  readonly removed: number;
  readonly places: number;
  readonly legs: number;
  /** Factor on the gain when faults are ranked; below 1 for faults less simple than an offset. */
  readonly simple: number;
}

const BARS: Readonly<Record<Suspicion['kind'], Bar>> = {
  offset: { sure: 4, least: 0.15, agree: 0.7, removed: 0.12, places: 4, legs: 2, simple: 1 },
  stretch: { sure: 6.5, least: 0.4, agree: 0.75, removed: 0.12, places: 20, legs: 6, simple: 0.92 },
  drift: { sure: 6.5, least: 0.3, agree: 0.65, removed: 0.12, places: 20, legs: 6, simple: 0.95 },
  shift: { sure: 6, least: 0.15, agree: 0.65, removed: 0.12, places: 12, legs: 4, simple: 0.95 },
  lag: { sure: 6, least: 0.03, agree: 0.6, removed: 0.05, places: 20, legs: 6, simple: 0.98 },
  heading: { sure: 5, least: 0.2, agree: 0.7, removed: 0.12, places: 12, legs: 4, simple: 0.95 },
};
const MIN_SHARE = 0.03;
/** Number of legs below which twice the effect is required, because each leg then weighs heavily. */
const FEW_LEGS = 12;
const ALIKE = 0.95;

/**
 * Finds the fault that explains most of the disagreement, and a rival of another kind (never a stretch) that
 * explains about as much. Returns undefined when no fault passes its thresholds.
 */
export function mostLikely(ties: Ties): Suspicion | undefined {
  const known = allCandidates(ties).filter(
    ({ kind, fit, effect, group }) => passes(BARS[kind], fit, effect) && shareOf(ties, group) >= MIN_SHARE,
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

function allCandidates(ties: Ties): Suspicion[] {
  const logs = logsOf(ties);
  const several = logs.length > 1 ? logs : [];
  const stretch = searchStretch(ties);
  return [
    ...groupsOf(ties)
      .filter((group) => !isLargerOfTwo(ties, group))
      .map((group) => suspect(ties, 'offset', group)),
    ...several.map((group) => shiftOf(ties, group)),
    ...sessionsOf(ties).map((group) => driftOf(ties, group)),
    ...logs.map((group) => suspect(ties, 'heading', group, wayOf(ties, group.log))),
    ...[{ kind: 'all' } as const, ...several].map((group) => latencyOf(ties, group)),
    stretch && suspect(ties, 'stretch', stretch),
  ].filter((found) => found !== undefined);
}

/** Fits a fault; undefined when the fit fails. @param valueAt As `Suspicion.valueAt`. */
function suspect(
  ties: Ties,
  kind: Suspicion['kind'],
  group: Group,
  valueAt: Suspicion['valueAt'] = () => 1,
): Suspicion | undefined {
  const fit = fitColumn(ties, groupColumn(ties, group, valueAt));
  const isOfPosition = kind === 'shift' || kind === 'lag';
  const usual = isOfPosition ? Math.sqrt(mean(membersOf(ties, group).map((node) => valueAt(node) ** 2))) : 1;
  return fit && { kind, group, size: fit.size, fit, effect: Math.abs(fit.size) * usual, valueAt };
}

/** True for the larger of exactly two files or days: the smaller is corrected to match the larger. */
function isLargerOfTwo(ties: Ties, group: Group): boolean {
  const other = complementOf(ties, group);
  return other !== undefined && shareOf(ties, group) > Math.max(0.5, shareOf(ties, other));
}

/** Difference in level that must not go unnoticed, m: two feet; judgment. */
const SEEN = 0.6;

/** True when a difference in level of `SEEN` between a group and the rest of the survey would be found. */
export function wouldShow(ties: Ties, group: Group): boolean {
  const kind = group.kind === 'rows' ? 'stretch' : 'offset';
  const found = suspect(ties, kind, group);
  if (found === undefined) return false;
  const sure = { ...found.fit, size: SEEN, agree: 1, removed: 1 };
  return passes({ ...BARS[kind], least: SEEN / 2 }, sure, SEEN);
}

const FEWEST_OF_SESSION = 60;

/** Consecutive nodes `[first, last]` of one file and day, also as a group of rows. */
type Session = RowGroup & { readonly first: number; readonly last: number };

export function sessionsOf({ nodes }: Ties): Session[] {
  const { count, log, day, row, end } = nodes;
  const isSame = (node: number, first: number) => log[node] === log[first] && day[node] === day[first];
  return [...rowRuns(count, isSame)]
    .filter(([from, to]) => to - from > FEWEST_OF_SESSION)
    .map(([first, to]) => ({
      kind: 'rows',
      log: log[first],
      from: row[first],
      to: end[to - 1],
      first,
      last: to - 1,
    }));
}

/** Fits a level that changes linearly over a session: with time or, without times, with distance. */
function driftOf(ties: Ties, group: Session): Suspicion | undefined {
  const { nodes } = ties;
  const { first, last } = group;
  const since = nodes.time[last] - nodes.time[first] > 0 ? nodes.time : nodes.way;
  const all = since[last] - since[first];
  const value = (node: number): number => {
    const share = (since[node] - since[first]) / all;
    return Number.isNaN(share) ? 0 : Math.min(1, Math.max(0, share)) - 0.5;
  };
  return all > 0 ? suspect(ties, 'drift', group, value) : undefined;
}

/** Minimum cosine of the angle between course and main axis for a node to count as run along the axis. */
const ALONG = 0.7;

/** Returns a function of a log's nodes: 0.5 or -0.5 by direction along the log's main axis, 0 across it. */
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

/** Fits positions that lag behind depths: each depth belongs farther along the track than its position. */
export const latencyOf = (ties: Ties, group: Group): Suspicion | undefined =>
  suspect(ties, 'lag', group, (node) => ties.nodes.rate[node] || 0);

/** Fits a shift of a file's positions, which changes depths by the shift times the slope of the bottom. */
function shiftOf(ties: Ties, group: FileGroup): Suspicion | undefined {
  const slopeOf = (node: number): readonly [number, number] => ties.planes[node]?.slope ?? [0, 0];
  const [east, north] = [0, 1].map((side) => {
    const { at, value } = groupColumn(ties, group, (node) => slopeOf(node)[side]);
    const dense = new Float64Array(ties.nodes.count);
    for (let k = 0; k < at.length; k++) dense[at[k]] = value[k];
    return dense;
  });
  const scores = clippedScores(ties);
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
  const found = suspect(ties, 'shift', group, (node) => {
    const [slopeEast, slopeNorth] = slopeOf(node);
    return (x * slopeEast + y * slopeNorth) / long;
  });
  // A bottom that deepens eastward reads too shallow where positions are too far east.
  return found && { ...found, toward: bearingOf(-x, -y) };
}

/** How the depths of a file or day compare with the other depths over the same bottom. */
export interface GroupTie {
  readonly group: Group;
  /** Fit of the difference in depth, m, positive for a deeper group; undefined without track to compare. */
  readonly offset?: Fit;
  /** Depths of the group divided by other depths over the same bottom; undefined without track to compare. */
  readonly ratio?: Pick<Fit, 'size' | 'sd'>;
}

export function groupTies(ties: Ties): GroupTie[] {
  const inLogs = withDepths(
    ties,
    ties.nodes.depth.map((depth) => Math.log(Math.max(0.3, depth))),
  );
  return groupsOf(ties).map((group) => {
    const column = groupColumn(ties, group);
    const [offset, ratio] = [fitColumn(ties, column), fitColumn(inLogs, column)];
    if (offset === undefined || ratio === undefined) return { group };
    const size = Math.exp(ratio.size);
    return { group, offset, ratio: { size, sd: size * ratio.sd } };
  });
}
