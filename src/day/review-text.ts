import type { DisplayUnits } from '../../shared/contract/index.ts';
import {
  bandText,
  type DayReview,
  HOURS_WIDTH,
  type KindLine,
  minutesOf,
  type Review,
  type SpotChange,
} from '../../shared/day/index.ts';
import { formatClock, plural } from '../../shared/text/index.ts';
import { alignedLines, formatCsv } from '../formats/table/index.ts';
import { figuresOf, overDaysLines } from './learned-text.ts';

/** Maximum number of spots named in one line of a comparison. */
const NAMED = 8;

/** Minimum number of stops of a kind on each day for a comparison of the days; judgment. */
const COMPARED = 3;

export function formatReviewText({ day, before, changes, overDays }: Review, units: DisplayUnits): string {
  return [
    `Review of ${day.date}: ${day.all.fish} fish at ${plural(day.all.stops, 'stop')}, ${formatClock(day.from)} to ${formatClock(day.to)}`,
    allText(day, before !== undefined),
    ...groupsOf(day, units).flatMap(({ title, lines }) => table(title, lines)),
    ...(before === undefined ? [] : comparison(before, day, changes, units)),
    `What the logs taught${overDays.days === 1 ? ', from one day only' : ` on ${overDays.days} days`}:`,
    ...overDaysLines(overDays, units).map((line) => `  ${line}`),
    '',
  ].join('\n');
}

function allText({ all }: DayReview, hasEarlier: boolean): string {
  const source = `your confidence${hasEarlier ? ' and earlier days' : ''}`;
  const expected = `expected ${all.expected.toFixed(1)} fish from ${source}`;
  const text = {
    more: 'a better day than that',
    fewer: 'a slower day than that: fish were at fewer spots, or bit less',
    'as expected': 'within the usual range',
    'too few stops': 'too few stops to say more about the day',
  }[all.verdict];
  return `${expected}: ${text}`;
}

type Group = ReturnType<typeof groupsOf>[number];

function groupsOf(day: DayReview, units: DisplayUnits) {
  const named = <K>(
    title: string,
    lines: readonly (KindLine & { kind: K })[],
    text: (kind: K) => string,
  ) => ({
    title,
    lines: lines.map((line) => ({ ...line, text: text(line.kind) })),
  });
  return [
    named('structure', day.structures, String),
    named('depth', day.depths, (band) => bandText(band, units)),
    named('hour', day.hours, hoursText),
    named('lure', day.lures, String),
    named('spot', day.spots, String),
  ];
}

const hoursText = (bin: number): string =>
  `${formatClock(bin * HOURS_WIDTH)}-${formatClock((bin + 1) * HOURS_WIDTH)}`;

const VERDICTS = {
  more: 'more than expected',
  fewer: 'fewer than expected',
  'as expected': 'as expected',
  'too few stops': 'too few stops to say',
} as const;

function table(title: string, lines: Group['lines']): string[] {
  if (lines.length === 0) return title === 'lure' ? ['lure: none noted in the log'] : [];
  const rows = [
    [title, 'fish', 'expected', 'stops', 'gave fish', 'min', ''],
    ...lines.map((line) => [
      line.text,
      String(line.fish),
      line.expected.toFixed(1),
      String(line.stops),
      String(line.hits),
      String(minutesOf(line.seconds)),
      // A spot rarely has enough stops for a verdict, so the row of a spot has none instead of saying so.
      title === 'spot' && line.verdict === 'too few stops' ? '' : VERDICTS[line.verdict],
    ]),
  ];
  return alignedLines(rows);
}

function comparison(
  before: DayReview,
  day: DayReview,
  changes: readonly SpotChange[],
  units: DisplayUnits,
): string[] {
  const of = (verdict: SpotChange['verdict']): string => {
    const names = changes.filter((change) => change.verdict === verdict).map(changeText);
    const more = names.length > NAMED ? ` and ${names.length - NAMED} more` : '';
    return names.length === 0 ? 'none' : `${names.slice(0, NAMED).join(', ')}${more}`;
  };
  const kinds = (title: string, lines: Group['lines'], earlier: Group['lines']): string[] =>
    lines.flatMap((line) => {
      const other = earlier.find(({ kind }) => kind === line.kind);
      if (other === undefined || line.stops < COMPARED || other.stops < COMPARED) return [];
      if (Math.abs(line.hits / line.stops - other.hits / other.stops) <= 0.3) return [];
      const then = `${other.hits} of ${other.stops} stops gave fish then`;
      return [`  ${title} ${line.text}: ${then}, ${line.hits} of ${line.stops} now`];
    });
  const [now, then] = [groupsOf(day, units), groupsOf(before, units)];
  return [
    `Compared with ${before.date}: then ${figuresOf(before.all)}; now ${figuresOf(day.all)}`,
    ...(changes.length === 0
      ? ['  no spot was fished on both days']
      : [
          `  came on: ${of('came on')}`,
          `  went off: ${of('went off')}`,
          `  held: ${of('held')}`,
          `  gave nothing on either day: ${of('stayed off')}`,
        ]),
    ...now.slice(0, 4).flatMap(({ title, lines }, at) => kinds(title, lines, then[at].lines)),
    `  conditions: ${conditionsText(before)}; now ${conditionsText(day)}`,
  ];
}

const changeText = ({ name, before, now }: SpotChange): string =>
  `${name} (${before.fish} then, ${now.fish} now)`;

const conditionsText = ({ date, from, to, winds, lures }: DayReview): string =>
  [
    `${date} ${formatClock(from)} to ${formatClock(to)}`,
    winds.length === 0 ? 'no wind noted' : `wind ${winds.join(', ')}`,
    lures.length === 0 ? 'no lure noted' : `lures ${lures.map(({ kind }) => kind).join(', ')}`,
  ].join(', ');

/** Writes the review as CSV: for each day a row for the whole day, then a row for each kind of stop. */
export function formatReviewCsv({ day, before }: Review, units: DisplayUnits, isGuarded: boolean): string {
  const rows = [day, ...(before === undefined ? [] : [before])].flatMap((each) => [
    rowOf(each.date, 'day', 'all', each.all),
    ...groupsOf(each, units).flatMap(({ title, lines }) =>
      lines.map((line) => rowOf(each.date, title, line.text, line)),
    ),
  ]);
  const header = ['date', 'by', 'kind', 'stops', 'gave_fish', 'min', 'fish', 'expected', 'ratio', 'verdict'];
  return formatCsv([header, ...rows], '\r\n', isGuarded);
}

const rowOf = (date: string, by: string, kind: string, line: KindLine): string[] => [
  date,
  by,
  kind,
  String(line.stops),
  String(line.hits),
  String(minutesOf(line.seconds)),
  String(line.fish),
  line.expected.toFixed(2),
  line.ratio.toFixed(2),
  line.verdict,
];
