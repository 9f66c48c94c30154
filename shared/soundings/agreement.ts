import type { Survey } from '../contract/soundings.ts';
import type { Crossings } from './crossings.ts';
import { median } from './echoes.ts';

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
  readonly suspicion?:
    | { readonly kind: 'unit'; readonly unit: string; readonly factor: number }
    | { readonly kind: 'offset' };
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
/** Standard errors from which an offset is believed. */
const SURE = 4;

/** Agreement where passes cross, over all, and of each file and each day with the rest. */
export function judgeAgreement(survey: Survey, crossings: Crossings): Agreement {
  const differences = Array.from(
    { length: crossings.count },
    (_, i) => crossings.firstDepth[i] - crossings.secondDepth[i],
  );
  const sizes = differences.map(Math.abs).sort((a, b) => a - b);
  const depths = Array.from(crossings.firstDepth);
  const fileOf = (row: number) => survey.log[row];
  const dayOf = (row: number) => dayNumber(survey.time[row]);
  const groups = [
    ...groupsBy(survey, crossings, fileOf, (log) => survey.logs[log].file, 'file'),
    ...groupsBy(survey, crossings, dayOf, dayName, 'day'),
  ];
  return {
    crossings: crossings.count,
    median: crossings.count === 0 ? Number.NaN : median(differences),
    spread95:
      crossings.count === 0 ? Number.NaN : sizes[Math.min(sizes.length - 1, Math.floor(0.95 * sizes.length))],
    depth: depths.reduce((sum, depth) => sum + depth, 0) / Math.max(1, depths.length),
    groups,
  };
}

/** Times before this (1980), s since 1970, have no day. */
const FIRST_DATED = 315_532_800;

/** Day of a time, UTC, as days since 1970; -1 for none. */
const dayNumber = (time: number): number => (time >= FIRST_DATED ? Math.floor(time / 86400) : -1);

export const dayName = (day: number): string => new Date(day * 86_400_000).toISOString().slice(0, 10);

function groupsBy(
  survey: Survey,
  crossings: Crossings,
  groupOf: (row: number) => number,
  nameOf: (group: number) => string,
  kind: 'file' | 'day',
): GroupAgreement[] {
  const found = new Map<number, { difference: number[]; ratio: number[] }>();
  const add = (group: number, own: number, other: number) => {
    let entry = found.get(group);
    if (entry === undefined) {
      entry = { difference: [], ratio: [] };
      found.set(group, entry);
    }
    entry.difference.push(own - other);
    if (own > LEAST_DEPTH || other > LEAST_DEPTH) entry.ratio.push(own / other);
  };
  for (let i = 0; i < crossings.count; i++) {
    const a = groupOf(crossings.first[i]);
    const b = groupOf(crossings.second[i]);
    if (a === b || a < 0 || b < 0) continue;
    add(a, crossings.firstDepth[i], crossings.secondDepth[i]);
    add(b, crossings.secondDepth[i], crossings.firstDepth[i]);
  }
  void survey;
  const groups = [...found].sort(([a], [b]) => a - b);
  // Of two groups that only meet each other both differ by the same; the larger one is named as well.
  return groups.map(([group, { difference, ratio }]) => judgeGroup(nameOf(group), kind, difference, ratio));
}

function judgeGroup(
  name: string,
  kind: 'file' | 'day',
  differences: number[],
  ratios: number[],
): GroupAgreement {
  const crossings = differences.length;
  const middle = median(differences);
  const deviation = 1.4826 * median(differences.map((value) => Math.abs(value - middle)));
  // 1.253: the median's standard error over the mean's, for normal errors.
  const error = (1.253 * deviation) / Math.sqrt(crossings);
  const ratio = ratios.length === 0 ? 1 : median(ratios);
  const base = { name, kind, crossings, difference: middle, error, ratio };
  if (crossings < FEWEST) return base;
  const unit = UNIT_RATIOS.find(([factor]) => Math.abs(ratio / factor - 1) <= RATIO_TOLERANCE);
  if (unit !== undefined && ratios.length * 2 > crossings)
    return { ...base, suspicion: { kind: 'unit', unit: unit[1], factor: unit[0] } };
  const isOffset = Math.abs(middle) > LEAST_OFFSET && Math.abs(middle) > SURE * error;
  return isOffset ? { ...base, suspicion: { kind: 'offset' } } : base;
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
      const next = median(meetings[log].map(({ other, difference }) => difference + offset[other]));
      change = Math.max(change, Math.abs(next - offset[log]));
      offset[log] = next;
    }
    if (change < 1e-4) break;
  }
  return offset;
}
