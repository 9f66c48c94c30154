import type { Survey } from '../../contract/index.ts';
import type { PartName } from '../../text/index.ts';
import { dayName, dayNumber } from '../days.ts';
import type { Group } from './group.ts';

const WEEK = 7;

export function nameOf(survey: Survey, group: Group): PartName {
  if (group.kind === 'all') return { kind: 'all', name: '' };
  if (group.kind === 'day') return { kind: 'day', name: dayWord(survey, group.day) };
  const { file } = survey.logs[group.log];
  if (group.kind === 'file') return { kind: 'file', name: file, file };
  const lines = [lineOf(survey, group.log, group.from), lineOf(survey, group.log, group.to)] as const;
  return { kind: 'rows', name: file, file, lines };
}

/** Returns the day of the week if the survey spans at most 7 days, otherwise the date. */
export function dayWord(survey: Survey, day: number): string {
  const days = survey.logs
    .flatMap(({ firstTime, lastTime }) => [dayNumber(firstTime), dayNumber(lastTime)])
    .filter((own) => own >= 0);
  const isOneWeek = Math.max(day, ...days) - Math.min(day, ...days) < WEEK;
  const date = new Date(day * 86_400_000);
  return isOneWeek ? date.toLocaleDateString('en-US', { weekday: 'long', timeZone: 'UTC' }) : dayName(day);
}

/** Estimates the line of a row in its file: rows are means of lines, and some lines were dropped. */
function lineOf(survey: Survey, log: number, row: number): number {
  const { account } = survey.logs[log];
  let before = 0;
  for (let i = survey.log.indexOf(log); i < row && i < survey.count; i++) before += survey.weight[i];
  return 2 + Math.round((before * account.read) / Math.max(1, account.used));
}
