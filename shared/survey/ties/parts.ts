import { groupBy, partition } from 'es-toolkit/array';
import { localFrame } from '../../geo/index.ts';
import { lineBetween, type PassLine } from '../proposed-passes.ts';
import { sessionsOf, wouldShow } from './candidates.ts';
import type { TieSearch } from './finding.ts';
import { type Group, groupsOf, membership } from './group.ts';
import { dayWord } from './part-name.ts';
import type { Ties } from './ties.ts';

/**
 * Two parts of a survey between which a change of level would go undetected, and a pass that would tie them
 * together.
 */
export interface Untied {
  /** True when no pass of one part comes near the other; false when they meet, but in too few places. */
  readonly isApart: boolean;
  /** The two parts: `a.csv and b.csv`, `Friday and Saturday`, or `two parts of a.csv`. */
  readonly words: string;
  readonly pass: PassLine;
}

/** Fewest nodes, and least share of all nodes, that make a part worth a pass. */
const FEWEST = 30;
const MIN_SHARE = 0.04;
/** How far a pass reaches into each part, m. */
const INTO = 80;

/** Parts of a survey that are not tied together, those with most track first. */
export function untiedParts(work: TieSearch): Untied[] {
  const { ties } = work;
  const parts = partsOf(work);
  const apart = parts.slice(1).map((part): Untied => {
    const others = parts.slice(0, parts.indexOf(part));
    const { from, to, other } = nearestOf(ties, part, others);
    return { isApart: true, words: wordsOf(work, true, other, part), pass: passAcross(work, from, to) };
  });
  return apart.length > 0 ? apart : weaklyTied(work);
}

/**
 * The first file, day or half session that meets the rest in too few places; one is enough because one pass helps
 * all.
 */
function weaklyTied(work: TieSearch): Untied[] {
  const { ties } = work;
  const { nodes } = ties;
  const halves = sessionsOf(ties).map(({ first, last, log, from }): Group => {
    return { kind: 'rows', log, from, to: nodes.row[(first + last + 1) >> 1] };
  });
  const weak = [...groupsOf(ties), ...halves].find((group) => !wouldShow(ties, group));
  if (weak === undefined) return [];
  const [members, rest] = partition([...nodes.row.keys()], membership(ties, weak));
  if (members.length < FEWEST || rest.length < FEWEST) return [];
  return [
    { isApart: false, words: wordsOf(work, false, members, rest), pass: passThrough(work, members, rest) },
  ];
}

/**
 * Nodes of each connected part (passes tied to each other, directly or through others), largest first, without
 * parts of only a few nodes.
 */
function partsOf({ survey, ties }: TieSearch): number[][] {
  const { nodes, planes } = ties;
  const passOf = (i: number): number => survey.pass[nodes.row[i]];
  const passes = nodes.row.reduce((most, row) => Math.max(most, survey.pass[row] + 1), 0);
  const parent = new Int32Array(passes).map((_, pass) => pass);
  const rootOf = (pass: number): number => {
    let root = pass;
    while (parent[root] !== root) root = parent[root] = parent[parent[root]];
    return root;
  };
  for (const [i, plane] of planes.entries())
    for (const node of plane?.from ?? []) parent[rootOf(passOf(i))] = rootOf(passOf(node));
  const members = Object.values(groupBy([...nodes.row.keys()], (i) => rootOf(passOf(i))));
  const least = Math.max(FEWEST, MIN_SHARE * nodes.count);
  return members.filter(({ length }) => length >= least).sort((a, b) => b.length - a.length || a[0] - b[0]);
}

/**
 * The nearest pair of nodes between a part and the earlier parts, from a sample of a hundred or so nodes of each.
 */
function nearestOf(
  { nodes }: Ties,
  part: readonly number[],
  others: readonly (readonly number[])[],
): { from: number; to: number; other: readonly number[] } {
  const some = (all: readonly number[]): number[] =>
    all.filter((_, i) => i % Math.ceil(all.length / 150) === 0);
  let best = { from: others[0][0], to: part[0], other: others[0] };
  let least = Number.POSITIVE_INFINITY;
  for (const other of others)
    for (const from of some(other))
      for (const to of some(part)) {
        const square = (nodes.east[to] - nodes.east[from]) ** 2 + (nodes.north[to] - nodes.north[from]) ** 2;
        if (square >= least) continue;
        least = square;
        best = { from, to, other };
      }
  return best;
}

function wordsOf(
  { survey, ties: { nodes } }: TieSearch,
  isApart: boolean,
  ...parts: readonly [readonly number[], readonly number[]]
): string {
  const [logs, days] = [nodes.log, nodes.day].map((column) =>
    parts.map((part) => [...new Set(part.map((node) => column[node]))]),
  );
  const [firstDay, secondDay] = days.map((own) => (own.length === 1 ? own[0] : -1));
  if (firstDay >= 0 && secondDay >= 0 && firstDay !== secondDay)
    return `${dayWord(survey, firstDay)} and ${dayWord(survey, secondDay)}`;
  const [first, second] = logs.map((own) => own.map((log) => survey.logs[log].file).join(', '));
  if (first !== second && logs.flat().length <= 4) return `${first} and ${second}`;
  return `${isApart ? 'two parts' : 'the passes'} of ${logs[0].length <= 2 ? first : 'this survey'}`;
}

/** A pass from one node to another that reaches into the part at either end. */
function passAcross(work: TieSearch, from: number, to: number): PassLine {
  const { east, north } = work.ties.nodes;
  const [x, y] = [east[to] - east[from], north[to] - north[from]];
  return passAlong(work, [east[from], north[from]], [x, y], -INTO, Math.hypot(x, y) + INTO);
}

/** Share of the nodes at each end that a pass through two parts may leave uncovered. */
const END = 0.03;

/** A pass through the centers of two parts, over their whole extent in that direction. */
function passThrough(work: TieSearch, first: readonly number[], second: readonly number[]): PassLine {
  const { east, north } = work.ties.nodes;
  const middleOf = (part: readonly number[]) =>
    [east, north].map((column) => part.reduce((sum, i) => sum + column[i], 0) / part.length);
  const [x1, y1] = middleOf(first);
  const [x2, y2] = middleOf(second);
  const [x, y] = [x2 - x1, y2 - y1];
  const along = [...first, ...second]
    .map((i) => ((east[i] - x1) * x + (north[i] - y1) * y) / (Math.hypot(x, y) || 1))
    .sort((a, b) => a - b);
  const [from, to] = [END, 1 - END].map((share) => along[Math.floor(share * along.length)]);
  return passAlong(work, [x1, y1], [x, y], from, to);
}

/** A pass along a direction, between two distances from a place, m. */
function passAlong(
  { survey }: TieSearch,
  [east, north]: readonly [number, number],
  [x, y]: readonly [number, number],
  from: number,
  to: number,
): PassLine {
  const long = Math.hypot(x, y) || 1;
  const frame = localFrame(survey.lat[0], survey.lon[0]);
  const at = (way: number) => frame.toGeographic(east + (way * x) / long, north + (way * y) / long);
  return lineBetween(at(from), at(to));
}
