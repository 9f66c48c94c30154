import type { Survey } from '../contract/soundings.ts';
import { medianOf } from '../math/median.ts';
import type { Crossings } from './crossings.ts';
import { dayName, dayNumber } from './days.ts';

/** How the soundings of a file or a day agree with the rest where passes cross. */
export interface GroupAgreement {
  /** File path, or day `YYYY-MM-DD`. */
  readonly name: string;
  readonly kind: 'file' | 'day';
  readonly crossings: number;
  /** Median difference, group less rest, m, and its standard error. */
  readonly difference: number;
  readonly error: number;
  /** Median ratio, group over rest. */
  readonly ratio: number;
  /** What it looks like: a unit taken for another, a constant offset, or nothing. */
  readonly suspicion?: UnitSuspicion | { readonly kind: 'offset' };
}

/** Depths of a group that look like `factor` x depth + `constant`, m: a unit taken for another. */
export interface UnitSuspicion {
  readonly kind: 'unit';
  /** In words: "feet taken for meters". */
  readonly unit: string;
  readonly factor: number;
  readonly constant: number;
}

/** Agreement of a whole survey with itself. */
export interface Agreement {
  readonly crossings: number;
  /** Median of first less second depth, m, and the size that 95 % of differences stay below, m. */
  readonly median: number;
  readonly spread95: number;
  /** Mean depth at the crossings, m. */
  readonly depth: number;
  readonly groups: readonly GroupAgreement[];
}

/** Ratios of depths that a unit taken for another gives, within 2 %; from the definitions of foot and fathom. */
const UNIT_RATIOS: readonly (readonly [factor: number, unit: string])[] = [
  [1 / 0.3048, 'feet taken for meters'],
  [0.3048, 'meters taken for feet'],
  [1.8288, 'meters taken for fathoms'],
  [1 / 1.8288, 'fathoms taken for meters'],
  [6, 'feet taken for fathoms'],
  [1 / 6, 'fathoms taken for feet'],
];
const RATIO_TOLERANCE = 0.02;
/** Shallowest depth whose ratio says anything, m. */
const LEAST_DEPTH = 0.5;
/** Fewest crossings of a group, and the least offset worth a word, m. */
const FEWEST = 8;
const LEAST_OFFSET = 0.15;
/** Share of the scatter that a change of unit must leave, to be believed beside a constant. */
const HALF_SCATTER = 0.5;
/** Standard errors from which an offset is believed. */
const SURE = 4;

/** Agreement where passes cross, over all, and of each file and each day with the rest. */
export function judgeAgreement(survey: Survey, crossings: Crossings): Agreement {
  const { count, firstDepth } = crossings;
  const differences = differencesOf(firstDepth, crossings.secondDepth);
  const sizes = differences.map(Math.abs).sort();
  const fileOf = (row: number) => survey.log[row];
  const dayOf = (row: number) => dayNumber(survey.time[row]);
  const files = survey.logs.length < 2 ? [] : groupsBy(crossings, fileOf);
  return {
    crossings: count,
    median: medianOf(differences),
    spread95: count === 0 ? Number.NaN : sizes[Math.min(count - 1, Math.floor(0.95 * count))],
    depth: firstDepth.reduce((sum, depth) => sum + depth, 0) / Math.max(1, count),
    groups: [
      ...files.map(([log, pairs]) => judgeGroup(survey.logs[log].file, 'file', pairs)),
      ...groupsBy(crossings, dayOf).map(([day, pairs]) => judgeGroup(dayName(day), 'day', pairs)),
    ],
  };
}

/** Depths of a group and of the rest where they cross, in pairs. */
interface Pairs {
  readonly own: Float64Array;
  readonly other: Float64Array;
}

/** Groups in order of their numbers, with the crossings of each with others; those below 0 are none. */
function groupsBy(crossings: Crossings, groupOf: (row: number) => number): [group: number, Pairs][] {
  const { count, first, second, firstDepth, secondDepth } = crossings;
  // Entries of a crossing: its number where the first pass is the group's own, and that less all where the second is.
  const found = new Map<number, number[]>();
  for (let i = 0; i < count; i++) {
    const a = groupOf(first[i]);
    const b = groupOf(second[i]);
    if (a === b || a < 0 || b < 0) continue;
    listOf(found, a).push(i);
    listOf(found, b).push(i - count);
  }
  const own = (entry: number) => (entry < 0 ? secondDepth[entry + count] : firstDepth[entry]);
  const other = (entry: number) => (entry < 0 ? firstDepth[entry + count] : secondDepth[entry]);
  return [...found]
    .sort(([a], [b]) => a - b)
    .map(([group, entries]) => [
      group,
      { own: Float64Array.from(entries, own), other: Float64Array.from(entries, other) },
    ]);
}

function listOf(lists: Map<number, number[]>, key: number): number[] {
  const before = lists.get(key);
  if (before !== undefined) return before;
  const list: number[] = [];
  lists.set(key, list);
  return list;
}

function judgeGroup(name: string, kind: 'file' | 'day', { own, other }: Pairs): GroupAgreement {
  const crossings = own.length;
  const { middle, deviation } = middleOf(differencesOf(own, other));
  // 1.253: the median's standard error over the mean's, for normal errors.
  const error = (1.253 * deviation) / Math.sqrt(crossings);
  const ratios: number[] = [];
  for (let i = 0; i < crossings; i++)
    if (Math.max(own[i], other[i]) > LEAST_DEPTH) ratios.push(own[i] / other[i]);
  const ratio = ratios.length === 0 ? 1 : medianOf(ratios);
  const base = { name, kind, crossings, difference: middle, error, ratio };
  if (crossings < FEWEST) return base;
  const unit = unitTaken({ own, other }, ratio);
  if (unit !== undefined) return { ...base, suspicion: unit };
  const isOffset = Math.abs(middle) > LEAST_OFFSET && Math.abs(middle) > SURE * error;
  return isOffset ? { ...base, suspicion: { kind: 'offset' } } : base;
}

/**
 * The unit that was taken for another, if the depths of a group look like it.
 *
 * Two signs: the median ratio of depths is that of two units within 2 %; or depths that differ by a constant as
 * well (another water level) scatter least, and by half or less, about a line of that slope.
 */
function unitTaken({ own, other }: Pairs, ratio: number): UnitSuspicion | undefined {
  const about = (factor: number) => middleOf(differencesOf(own, other, factor));
  const near = UNIT_RATIOS.filter(([factor]) => Math.abs(Math.log(ratio / factor)) < Math.LN2 / 2);
  let best: UnitSuspicion | undefined;
  let least = near.length === 0 ? 0 : HALF_SCATTER * about(1).deviation;
  for (const [factor, unit] of near) {
    const { middle, deviation } = about(factor);
    const suspicion = { kind: 'unit', unit, factor, constant: middle } as const;
    if (Math.abs(ratio / factor - 1) <= RATIO_TOLERANCE) return suspicion;
    // The scatter of the rest counts `factor` times about such a line.
    const scatter = deviation / Math.max(1, factor);
    if (scatter < least) {
      least = scatter;
      best = suspicion;
    }
  }
  return best;
}

/** Depths less a factor of others. */
function differencesOf(own: Float64Array, other: Float64Array, factor = 1): Float64Array {
  const differences = new Float64Array(own.length);
  for (let i = 0; i < own.length; i++) differences[i] = own[i] - factor * other[i];
  return differences;
}

/** Median, and robust standard deviation about it. */
function middleOf(values: Float64Array): { middle: number; deviation: number } {
  const middle = medianOf(values);
  return { middle, deviation: 1.4826 * medianOf(values.map((value) => Math.abs(value - middle))) };
}

/**
 * Logs whose depths are in another unit than the rest's: those with fewer than half of the survey's rows, as of two
 * that disagree the larger is taken for right.
 */
export function wrongUnits(
  survey: Survey,
  agreement: Agreement,
): { log: number; suspicion: UnitSuspicion }[] {
  return survey.logs.flatMap(({ file }, log) => {
    const group = agreement.groups.find(({ kind, name }) => kind === 'file' && name === file);
    if (group?.suspicion?.kind !== 'unit') return [];
    let rows = 0;
    for (let i = 0; i < survey.count; i++) if (survey.log[i] === log) rows++;
    return rows * 2 < survey.count ? [{ log, suspicion: group.suspicion }] : [];
  });
}

/**
 * Constant to take off each log's depths so that logs agree where they cross, m.
 *
 * The log with the most crossings keeps its depths; the others move by the median difference from those already
 * placed, in rounds until nothing changes. A log without enough crossings stays as it is.
 */
export function logOffsets(survey: Survey, crossings: Crossings): Float64Array {
  const logs = survey.logs.length;
  const offset = new Float64Array(logs);
  const meetings: { own: number; other: number; difference: number }[][] = Array.from(
    { length: logs },
    () => [],
  );
  for (let i = 0; i < crossings.count; i++) {
    const a = survey.log[crossings.first[i]];
    const b = survey.log[crossings.second[i]];
    if (a === b) continue;
    const difference = crossings.firstDepth[i] - crossings.secondDepth[i];
    meetings[a].push({ own: a, other: b, difference });
    meetings[b].push({ own: b, other: a, difference: -difference });
  }
  const anchor = meetings.reduce((best, list, log) => (list.length > meetings[best].length ? log : best), 0);
  for (let round = 0; round < 50; round++) {
    let change = 0;
    for (let log = 0; log < logs; log++) {
      if (log === anchor || meetings[log].length < FEWEST) continue;
      const next = medianOf(meetings[log].map(({ other, difference }) => difference + offset[other]));
      change = Math.max(change, Math.abs(next - offset[log]));
      offset[log] = next;
    }
    if (change < 1e-4) break;
  }
  return offset;
}
