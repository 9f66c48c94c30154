import type { Diagnostic, Place, Report, Survey } from '../../contract/index.ts';
import { type PartName, tieMessages as says } from '../../text/index.ts';
import { dayName, dayNumber } from '../days.ts';
import type { Account } from './account.ts';
import type { Finding, Suspicion } from './finding.ts';
import { complementOf, type Group, wholeOf } from './group.ts';
import { type Untied, untiedParts } from './parts.ts';

/** Share of the tied nodes that must be contradicted before the survey gets a message about it. */
const CONTRADICTED = 0.02;

/** Reports each cause once: what is wrong, what was done, and what to do. */
export function reportAccount(account: Account, report: Report): void {
  const { work } = account;
  const name = (group: Group): PartName => nameOf(work.survey, group);
  for (const finding of joined(work.findings)) {
    report(finding.kind === 'unit' ? unitMessage(finding, name) : suspicionMessage(finding, name, account));
  }
  const off = account.contradicted;
  const tied = work.difference.reduce((sum, own) => sum + Number(!Number.isNaN(own)), 0);
  if (off.length > CONTRADICTED * tied)
    report(
      says.contradicted(
        undefined,
        Math.max(...off.map(({ difference }) => Math.abs(difference))),
        off.length / Math.max(1, tied),
      ),
    );
  const parts = untiedParts(work);
  if (parts.length > 0)
    report(says.untied(undefined, partWords(work.survey, parts[0]), parts.length, parts[0]));
}

/**
 * Merges findings about stretches of one file in the same wrong unit: the first represents all, with the number
 * of others in `more`.
 */
function joined(findings: readonly Finding[]): (Finding & { readonly more?: number })[] {
  const first = new Map<string, Finding & { more?: number }>();
  for (const [k, finding] of findings.entries()) {
    const isStretch = finding.kind === 'unit' && finding.group.kind === 'rows' && !finding.isRefused;
    const key = isStretch ? JSON.stringify([wholeOf(finding.group), finding.unit.is]) : String(k);
    const known = first.get(key);
    if (known === undefined) first.set(key, { ...finding });
    else known.more = (known.more ?? 0) + 1;
  }
  return [...first.values()];
}

const placeOf = ({ file }: PartName): Place | undefined => (file === undefined ? undefined : { file });

function unitMessage(
  { group, unit, isRefused, more = 0 }: Extract<Finding, { kind: 'unit' }> & { readonly more?: number },
  name: (group: Group) => PartName,
): Diagnostic {
  const part = name(group);
  if (isRefused) return says['unit-change'](placeOf(part), part, unit);
  return group.kind === 'rows'
    ? says['unit-mismatch rows'](placeOf(part), part, unit, more)
    : says['unit-mismatch'](placeOf(part), part, unit);
}

function suspicionMessage(
  finding: Suspicion,
  name: (group: Group) => PartName,
  { work }: Account,
): Diagnostic {
  const part = name(finding.group);
  const place = placeOf(part);
  const { kind, size, effect, rival } = finding;
  if (kind === 'shift' || (kind === 'offset' && rival?.kind === 'shift')) {
    const [shift, offset] = kind === 'shift' ? [size, effect] : [rival!.size, size];
    const isAlike = rival?.kind === 'shift' || rival?.kind === 'offset';
    return says.shift(place, part, Math.abs(shift), Math.abs(offset), isAlike);
  }
  if (kind === 'drift') return says.drift(place, part, size);
  if (kind === 'lag') return says.lag(place, part, size, finding.fit.sd, effect);
  if (kind === 'heading') return says.heading(place, part, Math.abs(size));
  const other = finding.group.kind === 'day' ? complementOf(work.ties, finding.group) : undefined;
  return says['cross-offset'](
    place,
    part,
    size,
    other === undefined ? undefined : name(other).name,
    kind === 'offset',
    rival?.kind === 'heading',
  );
}

/**
 * Names for two parts that are not tied together: `a.csv and b.csv`, `Friday and Saturday`, or `two parts of
 * a.csv`.
 */
export function partWords(survey: Survey, { logs, days, isApart }: Untied): string {
  const filesOf = (part: readonly number[]): string => part.map((log) => survey.logs[log].file).join(', ');
  const [first, second] = [filesOf(logs[0]), filesOf(logs[1])];
  if (days[0] !== undefined && days[1] !== undefined && days[0] !== days[1])
    return `${dayWord(survey, days[0])} and ${dayWord(survey, days[1])}`;
  if (first !== second && logs[0].length + logs[1].length <= 4) return `${first} and ${second}`;
  return `${isApart ? 'two parts' : 'the passes'} of ${logs[0].length <= 2 ? first : 'this survey'}`;
}

const WEEK = 7;
const WEEKDAYS = ['Sunday', 'Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday'];

export function nameOf(survey: Survey, group: Group): PartName {
  if (group.kind === 'all') return { kind: 'all', name: '' };
  if (group.kind === 'day') return { kind: 'day', name: dayWord(survey, group.day) };
  const { file } = survey.logs[group.log];
  if (group.kind === 'file') return { kind: 'file', name: file, file };
  const lines = [lineOf(survey, group.log, group.from), lineOf(survey, group.log, group.to)] as const;
  return { kind: 'rows', name: file, file, lines };
}

/** Day of the week if the survey spans less than a week, else the date. */
function dayWord(survey: Survey, day: number): string {
  const days = survey.logs
    .flatMap(({ firstTime, lastTime }) => [dayNumber(firstTime), dayNumber(lastTime)])
    .filter((own) => own >= 0);
  const isOneWeek = Math.max(day, ...days) - Math.min(day, ...days) < WEEK;
  // Day 0, 1970-01-01, was a Thursday.
  return isOneWeek ? WEEKDAYS[(day + 4) % 7] : dayName(day);
}

/**
 * Approximate line in its file that a row comes from: rows are means of several lines, and some lines were
 * dropped.
 */
function lineOf(survey: Survey, log: number, row: number): number {
  const { account } = survey.logs[log];
  let before = 0;
  for (let i = survey.log.indexOf(log); i < row && i < survey.count; i++) before += survey.weight[i];
  return 2 + Math.round((before * account.read) / Math.max(1, account.used));
}
