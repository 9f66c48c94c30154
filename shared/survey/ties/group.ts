import { rollup } from 'd3-array';
import { range } from 'es-toolkit/math';
import type { Survey } from '../../contract/index.ts';
import { gather } from '../../math/index.ts';
import { dayNumber } from '../days.ts';
import type { TieColumn } from './fit.ts';
import { differenceOf, type Ties } from './ties.ts';

/** A part of a survey that a fault affects: a file, a day, rows `[from, to)` of a file, or everything. */
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

export function eachRow(survey: Survey, group: Group, take: (row: number) => void): void {
  for (let row = 0; row < survey.count; row++)
    if (isInGroup(group, survey.log[row], group.kind === 'day' ? dayNumber(survey.time[row]) : -1, row))
      take(row);
}

export function changedDepths(
  survey: Survey,
  group: Group,
  changed: (depth: number, row: number) => number,
): Pick<Survey, 'depth' | 'shallowest'> {
  const [depth, shallowest] = [survey.depth.slice(), survey.shallowest.slice()];
  for (const column of [depth, shallowest])
    eachRow(survey, group, (row) => {
      column[row] = changed(column[row], row);
    });
  return { depth, shallowest };
}

export type Membership = (node: number) => boolean;

export function membership({ nodes: { log, day, row } }: Ties, group: Group): Membership {
  return (i) => isInGroup(group, log[i], day[i], row[i]);
}

export const membersOf = (ties: Ties, group: Group): number[] =>
  range(ties.nodes.count).filter(membership(ties, group));

/** Applies `differenceOf` to a value of each node, and leaves out nodes where the result is 0 or NaN. */
export function columnOf({ planes, nodes }: Ties, value: (node: number) => number): TieColumn {
  const difference = differenceOf(
    planes,
    nodes.depth.map((_, node) => value(node)),
  );
  const at = Int32Array.from(range(nodes.count).filter((node) => Math.abs(difference[node]) > 1e-6));
  return { at, value: gather(difference, at) };
}

/** Applies `columnOf` to a value that is 0 for nodes outside a group. */
export function groupColumn(ties: Ties, group: Group, value: (node: number) => number = () => 1): TieColumn {
  const isMember = membership(ties, group);
  return columnOf(ties, (node) => (isMember(node) ? value(node) : 0));
}

export const shareOf = (ties: Ties, group: Group): number =>
  membersOf(ties, group).length / Math.max(1, ties.nodes.count);

/**
 * Lists the files if there are several, and the days if there are several, except the rows without a date and
 * a day whose only file has no other day.
 */
export function groupsOf(ties: Ties): Group[] {
  const { log, day } = ties.nodes;
  const nodes = [...log.keys()];
  const daysOf = rollup(
    nodes,
    (own) => new Set(own.map((i) => day[i])),
    (i) => log[i],
  );
  const filesOn = rollup(
    nodes,
    (own) => [...new Set(own.map((i) => log[i]))],
    (i) => day[i],
  );
  const isOneFile = (files: readonly number[]): boolean =>
    files.length === 1 && daysOf.get(files[0])?.size === 1;
  const days = [...filesOn].filter(([own, files]) => own >= 0 && !isOneFile(files));
  return [
    ...(daysOf.size > 1 ? logsOf(ties) : []),
    ...(filesOn.size > 1 ? days.map(([own]) => ({ kind: 'day', day: own }) as const) : []),
  ];
}

export const logsOf = ({ nodes }: Ties): FileGroup[] =>
  [...new Set(nodes.log)].map((log) => ({ kind: 'file', log }));

/** Returns the other file or dated day when there are exactly two; undefined otherwise. */
export function complementOf({ nodes }: Ties, group: Group): Group | undefined {
  const isFile = group.kind === 'file';
  if (!isFile && group.kind !== 'day') return undefined;
  const all = new Set(isFile ? nodes.log : nodes.day);
  all.delete(isFile ? group.log : group.day);
  const [other] = all;
  if (all.size !== 1 || other < 0) return undefined;
  return isFile ? { kind: 'file', log: other } : { kind: 'day', day: other };
}
