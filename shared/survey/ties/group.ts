import type { Survey } from '../../contract/index.ts';
import { gather } from '../../math/index.ts';
import { dayNumber } from '../days.ts';
import type { TieColumn } from './fit.ts';
import { differenceOf, type Ties } from './ties.ts';

/** A part of a survey that can be off as a whole: a file, a day, or rows of one file. */
export type Group =
  | { readonly kind: 'file'; readonly log: number }
  | { readonly kind: 'day'; readonly day: number }
  | { readonly kind: 'rows'; readonly log: number; readonly from: number; readonly to: number }
  | { readonly kind: 'all' };
export type FileGroup = Extract<Group, { kind: 'file' }>;
export type RowGroup = Extract<Group, { kind: 'rows' }>;

function isInGroup(group: Group, log: number, day: number, row: number): boolean {
  if (group.kind === 'all') return true;
  if (group.kind === 'day') return day === group.day;
  return log === group.log && (group.kind === 'file' || (row >= group.from && row < group.to));
}

/** The whole file of a part of one. */
export const wholeOf = (group: Group): Group =>
  group.kind === 'rows' ? { kind: 'file', log: group.log } : group;

export function eachRow(survey: Survey, group: Group, take: (row: number) => void): void {
  for (let row = 0; row < survey.count; row++)
    if (isInGroup(group, survey.log[row], group.kind === 'day' ? dayNumber(survey.time[row]) : -1, row))
      take(row);
}

/** True for the nodes of a group. */
export const membership =
  ({ nodes: { log, day, row } }: Ties, group: Group): Membership =>
  (i) =>
    isInGroup(group, log[i], day[i], row[i]);

export type Membership = (node: number) => boolean;

/** The nodes of a group, ascending. */
export const membersOf = (ties: Ties, group: Group): number[] =>
  [...ties.planes.keys()].filter(membership(ties, group));

/** A column over the nodes less its prediction from neighbors: only the nodes where that is neither 0 nor missing. */
export function columnOf({ planes, nodes }: Ties, value: (node: number) => number): TieColumn {
  const difference = differenceOf(
    planes,
    nodes.depth.map((_, node) => value(node)),
  );
  const at = Int32Array.from(difference.keys()).filter((node) => Math.abs(difference[node]) > 1e-6);
  return { at, value: gather(difference, at) };
}

/** A column with values at the nodes of a group and 0 elsewhere. */
export function groupColumn(ties: Ties, group: Group, value: (node: number) => number = () => 1): TieColumn {
  const isMember = membership(ties, group);
  return columnOf(ties, (node) => (isMember(node) ? value(node) : 0));
}

export const shareOf = (ties: Ties, group: Group): number =>
  membersOf(ties, group).length / Math.max(1, ties.nodes.count);

/**
 * The files and days of a survey that can be off on their own; a day that consists of exactly one file is listed
 * only as the file.
 */
export function groupsOf({ nodes }: Ties): Group[] {
  const logs = new Map<number, Set<number>>();
  const days = new Map<number, Set<number>>();
  for (let i = 0; i < nodes.count; i++) {
    logs.set(nodes.log[i], (logs.get(nodes.log[i]) ?? new Set()).add(nodes.day[i]));
    days.set(nodes.day[i], (days.get(nodes.day[i]) ?? new Set()).add(nodes.log[i]));
  }
  const groups: Group[] = logs.size < 2 ? [] : [...logs.keys()].map((log) => ({ kind: 'file', log }));
  for (const [day, logsOfDay] of days) {
    const isFile = logsOfDay.size === 1 && logs.get([...logsOfDay][0])?.size === 1;
    if (days.size > 1 && day >= 0 && !isFile) groups.push({ kind: 'day', day });
  }
  return groups;
}

export const logsOf = ({ nodes }: Ties): FileGroup[] =>
  [...new Set(nodes.log)].map((log) => ({ kind: 'file', log }));

/** The other file or day when there are exactly two; undefined otherwise. */
export function complementOf({ nodes }: Ties, group: Group): Group | undefined {
  const isFile = group.kind === 'file';
  if (!isFile && group.kind !== 'day') return undefined;
  const all = new Set(isFile ? nodes.log : nodes.day);
  all.delete(isFile ? group.log : group.day);
  const [other] = all;
  if (all.size !== 1 || other < 0) return undefined;
  return isFile ? { kind: 'file', log: other } : { kind: 'day', day: other };
}
