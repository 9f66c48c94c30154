import type { DisplayUnits } from '../../shared/contract/index.ts';
import {
  boatText,
  castText,
  type DayPlan,
  outlookText,
  percentText,
  runText,
  stopName,
  waitText,
} from '../../shared/day/index.ts';
import { formatClock, plural } from '../../shared/text/index.ts';
import { alignedLines } from '../formats/table/index.ts';
import { learnedLines } from './learned-text.ts';

/** Maximum number of left-out spots listed in a terminal; the page lists all. */
const LISTED = 12;

export function formatPlanText(plan: DayPlan, units: DisplayUnits): string {
  const left = plan.leftOut.map(({ name, why }) => `  ${name}: ${why}`);
  const more = left.length - LISTED;
  return [
    `Day plan ${plan.date}: ${formatClock(plan.start)} to check-in ${formatClock(plan.checkIn)}, ${plural(plan.stops.length, 'stop')}`,
    ...(plan.stops.length === 0 ? [] : [outlookText(plan, units)]),
    ...stopLines(plan, units),
    ...titled(
      'What the logs taught:',
      learnedLines(plan, units).map((line) => `  ${line}`),
    ),
    ...titled('Left out:', left.slice(0, LISTED)),
    ...(more > 0 ? [`  and ${more} more, listed on the page (--page)`] : []),
    'Not for navigation. Runs are checked against your own sonar depths and zones only; keep a lookout.',
    '',
  ].join('\n');
}

const titled = (title: string, lines: readonly string[]): string[] =>
  lines.length === 0 ? [] : [title, ...lines];

function stopLines(plan: DayPlan, units: DisplayUnits): string[] {
  if (plan.stops.length === 0) return [];
  const head = ['', 'arrive', 'leave', 'latest', 'stop', 'boat', 'first cast', 'fish', 'run', ''];
  const rows = plan.stops.map((stop, at) => [
    String(at + 1),
    formatClock(stop.arrive),
    formatClock(stop.leave),
    formatClock(stop.latestLeave),
    stopName(stop),
    boatText(stop, units),
    castText(stop, units),
    percentText(stop),
    runText(stop.run),
    waitText(stop),
  ]);
  const back = ['', formatClock(plan.back), '', '', plan.end.name, '', '', '', runText(plan.home), ''];
  return alignedLines([head, ...rows, back]);
}
