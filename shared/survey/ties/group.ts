import type { Survey } from '../../contract/index.ts';
import { dayNumber } from '../days.ts';
import { columnOf, type TieColumn } from './fit.ts';
import { differenceOf, type Ties } from './ties.ts';

/** A part of a survey that can be off as a whole: a file, a day, or rows of one file. */
export type Group =
  | { readonly kind: 'file'; readonly log: number }
  | { readonly kind: 'day'; readonly day: number }
  | { readonly kind: 'rows'; readonly log: number; readonly from: number; readonly to: number }
  | { readonly kind: 'all' };

export function isInGroup(group: Group, log: number, day: number, row: number): boolean {
  if (group.kind === 'all') return true;
  if (group.kind === 'day') return day === group.day;
  return log === group.log && (group.kind === 'file' || (row >= group.from && row < group.to));
}

export function eachRow(survey: Survey, group: Group, take: (row: number) => void): void {
  for (let row = 0; row < survey.count; row++)
    if (isInGroup(group, survey.log[row], group.kind === 'day' ? dayNumber(survey.time[row]) : -1, row))
      take(row);
}

/** A column with values at the nodes of a group and 0 elsewhere, less its prediction from neighbors. */
export function groupColumn(ties: Ties, group: Group, value: (node: number) => number = () => 1): TieColumn {
  const { nodes } = ties;
  const dense = new Float64Array(nodes.count);
  for (let i = 0; i < nodes.count; i++)
    if (isInGroup(group, nodes.log[i], nodes.day[i], nodes.row[i])) dense[i] = value(i);
  return columnOf(differenceOf(ties, dense));
}

export function shareOf({ nodes }: Ties, group: Group): number {
  let members = 0;
  for (let i = 0; i < nodes.count; i++)
    if (isInGroup(group, nodes.log[i], nodes.day[i], nodes.row[i])) members++;
  return members / Math.max(1, nodes.count);
}

/**
 * The files and days of a survey that can be off on their own; a day that consists of exactly one file is listed
 * only as the file.
 */
export function groupsOf({ nodes }: Ties): Group[] {
  const logs = new Map<number, Set<number>>();
  const days = new Map<number, Set<number>>();
  for (let i = 0; i < nodes.count; i++) {
    add(logs, nodes.log[i], nodes.day[i]);
    add(days, nodes.day[i], nodes.log[i]);
  }
  const groups: Group[] = logs.size < 2 ? [] : [...logs.keys()].map((log) => ({ kind: 'file', log }));
  for (const [day, logsOfDay] of days) {
    const isFile = logsOfDay.size === 1 && logs.get([...logsOfDay][0])?.size === 1;
    if (days.size > 1 && day >= 0 && !isFile) groups.push({ kind: 'day', day });
  }
  return groups;
}

function add(sets: Map<number, Set<number>>, key: number, value: number): void {
  const known = sets.get(key);
  if (known === undefined) sets.set(key, new Set([value]));
  else known.add(value);
}

/** The other file or day when there are exactly two; undefined otherwise. */
export function complementOf({ nodes }: Ties, group: Group): Group | undefined {
  const others = (column: Int32Array, self: number): number[] =>
    [...new Set(column)].filter((number) => number !== self);
  if (group.kind === 'file') {
    const logs = others(nodes.log, group.log);
    return logs.length === 1 ? { kind: 'file', log: logs[0] } : undefined;
  }
  if (group.kind !== 'day') return undefined;
  const days = others(nodes.day, group.day);
  return days.length === 1 && days[0] >= 0 ? { kind: 'day', day: days[0] } : undefined;
}
