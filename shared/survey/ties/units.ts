import { groupBy } from 'es-toolkit/array';
import type { Survey } from '../../contract/index.ts';
import { medianOf } from '../../math/index.ts';
import { wayOf } from './candidates.ts';
import type { Finding, TieSearch, UnitFinding } from './finding.ts';
import { fitColumn } from './fit.ts';
import {
  columnOf,
  complementOf,
  groupColumn,
  groupsOf,
  logsOf,
  type Membership,
  membership,
  type RowGroup,
  shareOf,
} from './group.ts';
import { searchStretch } from './stretch-search.ts';
import { differenceOf, type Ties, withDepths } from './ties.ts';
import { type DepthUnit, type UnitStep, type WrongUnit, wrongUnitsOf } from './unit-steps.ts';

/** Relative tolerance for matching the ratio of two units. */
const NEAR = 0.06;
/** Minimum number of nodes needed to judge a unit. */
const FEWEST = 8;
/** Maximum share of the disagreement that may remain after conversion of the unit. */
const MUST_LEAVE = 0.5;
/** Maximum disagreement after conversion of the unit, relative to that after removal of an offset. */
const AGAINST_OFFSET = 0.8;
/** Replaces `AGAINST_OFFSET` if the offset is implausible (larger than `NO_OFFSET`). */
const LIKE_OFFSET = 1.1;
/** Minimum disagreement that a wrong unit causes, m. */
const MIN_LEFT = 0.3;
/** As `MIN_LEFT`, as a share of the depth; the larger of the two limits applies. */
const SHARE_LEFT = 0.08;
/** Disagreement above which a unit may be wrong: a share of the depth, or a difference in its logarithm. */
const LOG_OFF = 0.35;
/** Minimum share of the nodes that disagree by more than `LOG_OFF` for a wrong unit to be suspected. */
const SHARE_LIKE = 0.005;
/** Minimum depth that a disagreement is compared with, m; used for shallower nodes. */
const MIN_LIKE = 1.5;
/** Maximum tolerance for the logarithm of the ratio of two units, however uncertain the fit. */
const MAX_NEAR = 0.2;
/** Maximum share of a corrected file's tied nodes that may still disagree by more than `LOG_OFF`. */
const MAX_OFF = 0.03;
/** Minimum number of places at which a stretch in another unit is compared with other track. */
const FEWEST_PLACES = 6;
const AGREE = 0.8;
/** Minimum size of a stretch with fewer than 2 * `FEWEST_PLACES` places, as a share of all nodes. */
const MIN_SHARE = 0.03;
const REMOVED = 0.6;
/** Maximum plausible offset, m: water levels and transducer depths do not differ by more. */
const NO_OFFSET = 2.5;

/** True when enough nodes disagree by so large a share of their depth that a unit may be wrong. */
export function isUnitLike({ nodes: { depth }, difference }: Ties): boolean {
  const off = difference.filter((own, i) => Math.abs(own) > LOG_OFF * Math.max(MIN_LIKE, depth[i]));
  return off.length >= Math.max(FEWEST, SHARE_LIKE * depth.length);
}

const readAsOf = (survey: Survey, log: number): DepthUnit => survey.logs[log].depthUnit ?? 'm';

/**
 * Finds stretches between steps in depth whose unit differs from the unit that their file was read in.
 *
 * The unit that the file was read in shows which side of a step is wrong. Conversion must also improve the
 * agreement with other track, if there is enough other track (`isBorneOut`).
 */
export function unitsBetweenSteps(work: TieSearch, steps: readonly UnitStep[]): UnitFinding[] {
  const logs = groupBy(steps, ({ row }) => work.survey.log[row]);
  return Object.entries(logs).flatMap(([log, own]) => ofLog(work, Number(log), own));
}

function ofLog({ survey, ties }: TieSearch, log: number, steps: readonly UnitStep[]): UnitFinding[] {
  const from = survey.log.indexOf(log);
  const to = survey.log.lastIndexOf(log) + 1;
  const rows = [from, ...steps.map(({ row }) => row), to];
  // Factor of each stretch relative to the first stretch.
  const states = [1];
  for (const { factor } of steps) states.push(states[states.length - 1] * factor);
  const wrong = wrongUnitsOf(readAsOf(survey, log));
  const isNear = (state: number, factor: number): boolean => Math.abs(state / factor - 1) < 2 * NEAR;
  const unitOf = (state: number): WrongUnit | undefined => wrong.find(({ factor }) => isNear(state, factor));
  const right = states.find((one) =>
    states.every((state) => isNear(state / one, 1) || unitOf(state / one) !== undefined),
  );
  if (right === undefined) return [];
  return states.flatMap((state, k): UnitFinding[] => {
    const unit = unitOf(state / right);
    if (isNear(state / right, 1) || unit === undefined) return [];
    const group = { kind: 'rows', log, from: rows[k], to: rows[k + 1] } as const;
    const isPlain = 2 * (group.to - group.from) <= to - from;
    if (!isBorneOut(ties, group, unit, isPlain)) return [];
    const mixed = [rows[k], rows[k + 1]].filter((row) => row > from && row < to).map((row) => row - 1);
    return [{ kind: 'unit', group, unit, mixed, isRefused: false }];
  });
}

/**
 * True when the depths of a group agree far better with other track nearby once they are converted from the
 * wrong unit.
 *
 * @param isPlain Result when there is too little other track to compare with.
 */
function isBorneOut(ties: Ties, group: RowGroup, { factor }: WrongUnit, isPlain: boolean): boolean {
  const { at } = groupColumn(ties, group);
  if (at.length < FEWEST) return isPlain;
  return leftWith(ties, membership(ties, group), at, factor) <= MUST_LEAVE * leftAt(ties.difference, at);
}

const leftAt = (difference: Float64Array, at: Int32Array): number =>
  medianOf(Float64Array.from(at, (i) => Math.abs(difference[i])));

/** Returns the median absolute difference at nodes `at`, m, with the depths of a part divided by a factor. */
function leftWith({ nodes, planes }: Ties, isMember: Membership, at: Int32Array, factor: number): number {
  const depth = nodes.depth.map((value, i) => (isMember(i) ? value / factor : value));
  return leftAt(differenceOf(planes, depth), at);
}

/**
 * Finds the first file or day that was read in the wrong unit; otherwise the first file in which the passes
 * in one direction have the wrong unit.
 *
 * When a file or day is off by the ratio of two units, either its own unit or the unit of the rest is wrong.
 * The units that both were read in often rule out one of these. Otherwise the file or day counts as wrong,
 * unless it is the larger of exactly two.
 */
export function unitTaken(work: TieSearch): UnitFinding | undefined {
  const { ties } = work;
  for (const group of groupsOf(ties)) {
    const { inGroup, rest } = wrongUnitOf(work, membership(ties, group));
    const other = complementOf(ties, group);
    const isSmaller = other === undefined || shareOf(ties, group) <= 0.5;
    const isMember = inGroup !== undefined && (rest === undefined || isSmaller);
    const target = isMember ? group : other;
    const unit = isMember ? inGroup : rest;
    if (target !== undefined && unit !== undefined)
      return { kind: 'unit', group: target, unit, mixed: [], isRefused: false };
  }
  for (const group of logsOf(ties)) {
    const way = wayOf(ties, group.log);
    const { inGroup, rest } = wrongUnitOf(work, (i) => ties.nodes.log[i] === group.log && way(i) > 0);
    const unit = inGroup ?? rest;
    if (unit !== undefined) return { kind: 'unit', group, unit, mixed: [], isRefused: true };
  }
  return undefined;
}

/**
 * Finds a stretch in another unit without a step at its ends. Its ends are only estimated, so the whole file
 * cannot be used.
 *
 * The search uses the logarithm of the depth, in which a wrong unit is a constant offset. Either the stretch
 * or the rest of its file may be wrong. Files that still disagree after correction (`leftOver`) come first.
 */
export function unitOfStretch({ ties, survey, findings }: TieSearch): UnitFinding | undefined {
  const inLogs = withDepths(
    ties,
    ties.nodes.depth.map((depth) => Math.log(Math.max(1, depth))),
  );
  const left = leftOver(findings, inLogs);
  if (left !== undefined) return left;
  const group = searchStretch(inLogs);
  const fit = group && fitColumn(inLogs, groupColumn(ties, group));
  if (fit === undefined || fit.places < FEWEST_PLACES || fit.legs < 2) return undefined;
  if (fit.agree < AGREE || fit.removed < REMOVED) return undefined;
  if (shareOf(ties, group!) < MIN_SHARE && fit.places < 2 * FEWEST_PLACES) return undefined;
  const near = Math.max(NEAR, Math.min(MAX_NEAR, 2 * fit.sd));
  // A stretch of real bottom may be 1.8 times as deep as its surroundings, like meters read as fathoms, but
  // hardly 3.3 times, like feet read as meters.
  const isRatio = ({ factor }: WrongUnit): boolean =>
    Math.abs(Math.log(factor)) > 1 && Math.abs(Math.abs(fit.size) - Math.abs(Math.log(factor))) < near;
  const unit = wrongUnitsOf(readAsOf(survey, group!.log)).find(isRatio);
  return unit && { kind: 'unit', group: group!, unit, mixed: [], isRefused: true };
}

/** Finds a file that still disagrees after its stretches between steps were corrected. */
function leftOver(findings: readonly Finding[], { nodes, difference }: Ties): UnitFinding | undefined {
  const { log, row, end } = nodes;
  for (const finding of findings) {
    if (finding.kind !== 'unit' || finding.group.kind !== 'rows') continue;
    const { group } = finding;
    const tied = [...log.keys()].filter((i) => log[i] === group.log && !Number.isNaN(difference[i]));
    const off = tied.filter((i) => Math.abs(difference[i]) > LOG_OFF);
    if (off.length < Math.max(FEWEST, MAX_OFF * tied.length)) continue;
    const whole = { ...group, from: row[off[0]], to: end[off[off.length - 1]] };
    return { ...finding, group: whole, mixed: [], isRefused: true };
  }
  return undefined;
}

/**
 * Compares the depths of a part of the survey with the rest.
 *
 * @returns Wrong unit that would explain the difference: `inGroup` for the part, `rest` for the rest. Both
 *   are defined if the two explain the difference by the same ratio, and neither if none explains it.
 */
function wrongUnitOf(
  { ties, survey }: TieSearch,
  isMember: Membership,
): { readonly inGroup?: WrongUnit; readonly rest?: WrongUnit } {
  const { nodes, difference } = ties;
  const { at, value } = columnOf(ties, (i) => Number(isMember(i)));
  if (at.length < FEWEST) return {};
  const before = leftAt(difference, at);
  const usual = medianOf(Float64Array.from(at, (i) => nodes.depth[i]));
  // A wrong unit changes depths by nearly half or more; a disagreement of a few percent has another cause.
  if (before < Math.max(MIN_LEFT, SHARE_LEFT * usual)) return {};
  const offset = medianOf(Float64Array.from(at, (i, k) => difference[i] / value[k]));
  const leftByOffset = medianOf(Float64Array.from(at, (i, k) => Math.abs(difference[i] - offset * value[k])));
  const most = Math.min(
    MUST_LEAVE * before,
    leftByOffset * (Math.abs(offset) > NO_OFFSET ? LIKE_OFFSET : AGAINST_OFFSET),
  );
  const judged = [true, false]
    .flatMap((ofGroup) => {
      const node = nodes.row.findIndex((_, i) => isMember(i) === ofGroup);
      const units = wrongUnitsOf(node < 0 ? 'm' : readAsOf(survey, nodes.log[node]));
      return units.map((unit) => {
        const factor = ofGroup ? unit.factor : 1 / unit.factor;
        // Division by a factor above 1 also shrinks the noise, so `left` is partly scaled up again.
        const scale = Math.max(1, Math.sqrt(factor));
        return { ofGroup, unit, factor, left: scale * leftWith(ties, isMember, at, factor) };
      });
    })
    .filter(({ left }) => left <= most)
    .sort((a, b) => a.left - b.left);
  const alike = judged.filter(({ factor }) => Math.abs(factor / judged[0].factor - 1) < NEAR);
  return {
    inGroup: alike.find(({ ofGroup }) => ofGroup)?.unit,
    rest: alike.find(({ ofGroup }) => !ofGroup)?.unit,
  };
}
