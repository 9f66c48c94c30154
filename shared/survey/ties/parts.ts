import { groupBy, minBy, partition } from 'es-toolkit/array';
import { mean } from 'es-toolkit/math';
import { localFrame } from '../../geo/index.ts';
import { lineBetween, type PassLine } from '../proposed-passes.ts';
import { sessionsOf, wouldShow } from './candidates.ts';
import type { TieSearch } from './finding.ts';
import { type Group, groupsOf, membership } from './group.ts';
import { dayWord } from './part-name.ts';
import type { Ties } from './ties.ts';

/** Two parts of a survey that are not well tied to each other, and a pass that would tie the two. */
export interface Untied {
  /** True when no node of one part is compared with the other part; false when the comparison is too weak. */
  readonly isApart: boolean;
  /** Names of the two parts, such as `a.csv and b.csv`, `Friday and Saturday` or `two parts of a.csv`. */
  readonly words: string;
  readonly pass: PassLine;
}

type Nodes = readonly number[];

/** Minimum number of nodes in a part for which a pass is proposed. */
const FEWEST = 30;
/** As `FEWEST`, as a share of all nodes, for parts that are apart; the larger limit applies. */
const MIN_SHARE = 0.04;
/** Distance by which a pass between two parts that are apart runs past the closest node of each, m. */
const INTO = 80;

/** Length beyond which a pass would hardly be run, m, as to a log of another lake; judgment. */
const LONGEST_PASS = 20_000;

/**
 * Finds the parts that are not tied to the largest part, largest first, each with a pass that would tie it to
 * a larger part. Parts that only a pass longer than `LONGEST_PASS` would tie are left out.
 *
 * If the survey is one part, finds the first file, day or first half of a session whose level could differ
 * from the rest unnoticed (`wouldShow`); nothing if it or the rest has fewer than `FEWEST` nodes.
 */
export function untiedParts(work: TieSearch): Untied[] {
  const parts = partsOf(work);
  if (parts.length < 2) return weaklyTied(work);
  const found = parts.slice(1).map((part, k) => {
    const { from, to, other } = nearestOf(work.ties, part, parts.slice(0, k + 1));
    return untied(work, true, other, part, [[from], [to]]);
  });
  return found.filter(({ pass }) => pass.length <= LONGEST_PASS);
}

function weaklyTied(work: TieSearch): Untied[] {
  const { ties } = work;
  const { row } = ties.nodes;
  const halves = sessionsOf(ties).map(({ first, last, log, from }): Group => {
    return { kind: 'rows', log, from, to: row[(first + last + 1) >> 1] };
  });
  const weak = [...groupsOf(ties), ...halves].find((group) => !wouldShow(ties, group));
  if (weak === undefined) return [];
  const [members, rest] = partition([...row.keys()], membership(ties, weak));
  return members.length < FEWEST || rest.length < FEWEST ? [] : [untied(work, false, members, rest)];
}

/** Returns the nodes of each part, without small parts, largest first. A part consists of tied passes. */
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

/** Finds the closest nodes: `to` in `part`, `from` in one of `others`. Samples at most 150 nodes per part. */
function nearestOf({ nodes: { east, north } }: Ties, part: Nodes, others: readonly Nodes[]) {
  const some = (all: Nodes): Nodes => all.filter((_, i) => i % Math.ceil(all.length / 150) === 0);
  const sample = some(part);
  const pairs = others.flatMap((other) =>
    some(other).map((from) => {
      const squareTo = (to: number) => (east[to] - east[from]) ** 2 + (north[to] - north[from]) ** 2;
      const to = minBy(sample, squareTo)!;
      return { from, to, other, square: squareTo(to) };
    }),
  );
  return minBy(pairs, ({ square }) => square)!;
}

/** @param ends Two groups of nodes; the pass leads through the middle of each. */
const untied = (
  work: TieSearch,
  isApart: boolean,
  first: Nodes,
  second: Nodes,
  ends: readonly [Nodes, Nodes] = [first, second],
): Untied => ({
  isApart,
  words: wordsOf(work, isApart, first, second),
  pass: passThrough(work, isApart, ...ends),
});

function wordsOf(
  { survey, ties: { nodes } }: TieSearch,
  isApart: boolean,
  ...parts: readonly [Nodes, Nodes]
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

/** Share of the nodes beyond each end of a proposed pass through two parts that are not apart. */
const END = 0.03;

/**
 * Returns a pass through the middles of two groups of nodes.
 *
 * @param isApart True to end the pass `INTO` beyond each middle; false to run it past nearly all nodes.
 */
function passThrough({ survey, ties }: TieSearch, isApart: boolean, first: Nodes, second: Nodes): PassLine {
  const { east, north } = ties.nodes;
  const middleOf = (part: Nodes) => [east, north].map((column) => mean(part.map((node) => column[node])));
  const [x1, y1] = middleOf(first);
  const [x2, y2] = middleOf(second);
  const [x, y] = [x2 - x1, y2 - y1];
  const long = Math.hypot(x, y) || 1;
  const along = [...first, ...second]
    .map((node) => ((east[node] - x1) * x + (north[node] - y1) * y) / long)
    .sort((a, b) => a - b);
  const [from, to] = isApart
    ? [-INTO, long + INTO]
    : [END, 1 - END].map((share) => along[Math.floor(share * along.length)]);
  const frame = localFrame(survey.lat[0], survey.lon[0]);
  const at = (way: number) => frame.toGeographic(x1 + (way * x) / long, y1 + (way * y) / long);
  return lineBetween(at(from), at(to));
}
