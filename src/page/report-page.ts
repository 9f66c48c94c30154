import { countBy } from 'es-toolkit';
import { bySeverity, formatDiagnostic, fromMeters, mergeBySentence } from '../../shared/contract/index.ts';
import { plural } from '../../shared/text/index.ts';
import { daySection } from './day-section.ts';
import { figureContext } from './figures.ts';
import { mapSection } from './map-section.ts';
import { cautionList, pageShell } from './page-shell.ts';
import { readingGuide } from './reading-guide.ts';
import type { PageContext, ReportInput } from './report-input.ts';
import { spotList } from './spot-list.ts';
import { spotSection } from './spot-section.ts';
import { escapeText } from './svg.ts';

/**
 * Renders the report page as one HTML file: the day's stops in order when there is a plan, changes since the
 * earlier run, the map, the list of spots, notes, a guide to the figures, then a section for each spot. Text
 * from the user's files is escaped everywhere.
 */
export function renderReport(input: ReportInput): string {
  const context = pageContext(input, true);
  const list = spotList(input.waypoints, input.units);
  const headLine = `${input.title}, ${dayWords(input.date)}. Not for navigation: depths are estimates from your own sonar.`;
  const hasManyFiles = new Set(input.waypoints.map(({ waypoint }) => waypoint.file)).size > 1;
  const sections = input.waypoints.map((_, at) =>
    spotSection(at, context, input.pluginFields, headLine, hasManyFiles),
  );
  return pageShell({
    title: `${input.title}, ${input.date}`,
    style: list.style,
    kind: input.plan === undefined ? 'all' : 'planned',
    skip: { id: 'spots', words: 'Skip to the list of spots' },
    header: header(input, true),
    main: [
      input.plan === undefined ? '' : daySection(input.plan, context),
      sinceLastTime(input),
      mapSection(input, true),
      `<section class="all-spots" aria-labelledby="spots"><h2 id="spots">All spots</h2>${list.markup}</section>`,
      runNotes(input),
      readingGuide(input.units),
      '<h2 id="each">Spot by spot</h2>',
      sections.join('\n'),
      footer(input),
    ].join('\n'),
  });
}

/** Renders a page of the day plan with the map of the lake, but without figures or sections of the spots. */
export function renderPlanPage(input: ReportInput & Required<Pick<ReportInput, 'plan'>>): string {
  return pageShell({
    title: `Day plan ${input.date}`,
    kind: 'planned',
    skip: { id: 'day', words: 'Skip to the day' },
    header: header(input, false),
    main: [daySection(input.plan, pageContext(input, false)), mapSection(input, false), footer(input)].join(
      '\n',
    ),
  });
}

const pageContext = (input: ReportInput, hasSections: boolean): PageContext => ({
  ...figureContext(input),
  spots: input.waypoints,
  hasSections,
});

const footer = ({ version }: ReportInput): string =>
  `<footer>Made by downslope${version === undefined ? '' : ` ${escapeText(version)}`}. Not for navigation.</footer>`;

function header(input: ReportInput, hasSections: boolean): string {
  const { plan, waypoints } = input;
  const links = [
    ...(plan === undefined ? [] : [['day', 'The day']]),
    ['map', 'The lake'],
    ...(hasSections
      ? [
          ['spots', 'All spots'],
          ['reading', 'How to read'],
        ]
      : []),
  ].map(([id, words]) => `<a href="#${id}">${words}</a>`);
  const planned = waypoints.filter(
    ({ fields }) => fields.downslope !== undefined || fields.upslope !== undefined,
  ).length;
  const count = hasSections
    ? ` ${plural(waypoints.length, 'spot')}, ${planned} with a cast. ${escapeText(levelWords(input))}`
    : '';
  return [
    '<header class="top">',
    `<h1>${escapeText(input.title)}</h1>`,
    `<p class="lead">Plan for ${escapeText(dayWords(input.date))}.${count}</p>`,
    `<nav class="jump" aria-label="On this page">${links.join('')}</nav>`,
    '<details class="cautions"><summary><b>Not for navigation.</b> Local law first. Life jacket and engine cut-off lanyard on. <u>Before you go</u></summary>',
    `${cautionList(plan)}</details>`,
    '</header>',
  ].join('');
}

const DAY = new Intl.DateTimeFormat('en-GB', { dateStyle: 'long', timeZone: 'UTC' });

/** Writes a date as `10 July 2027`; text of any other form is unchanged. */
function dayWords(date: string): string {
  const time = /^\d{4}-\d{2}-\d{2}$/.test(date) ? Date.parse(date) : Number.NaN;
  return Number.isNaN(time) ? date : DAY.format(time);
}

function levelWords({ waterLevel, waterLevelSource, units }: ReportInput): string {
  if (waterLevel === undefined) return 'Depths are as logged: no water level was given.';
  const level = fromMeters(waterLevel, units).toFixed(1).replace('-', '\u2212');
  const source = waterLevelSource === undefined ? '' : `, from ${waterLevelSource}`;
  return `Depths are measured from the water surface of that day, at a level of ${level} ${units}${source}.`;
}

function sinceLastTime({ changes = [] }: ReportInput): string {
  if (changes.length === 0) return '';
  const items = changes.map(
    ({ place, message }) => `<li><b>${escapeText(place?.waypoint ?? '')}:</b> ${escapeText(message)}</li>`,
  );
  return `<section aria-labelledby="since"><h2 id="since">Since last time</h2><ul class="notes">${items.join('')}</ul></section>`;
}

/** Lists the messages about the run as a whole, worst first, without messages about the store. */
function runNotes({ diagnostics = [], units }: ReportInput): string {
  const said = mergeBySentence(diagnostics.filter(({ code }) => !code.startsWith('store/'))).sort(bySeverity);
  if (said.length === 0) return '';
  const items = said.map(
    (each) => `<li class="${each.severity}">${escapeText(formatDiagnostic(each, units))}</li>`,
  );
  const counts = Object.entries(countBy(said, ({ severity }) => severity));
  const count = counts.map(([severity, number]) => plural(number, severity)).join(', ');
  return [
    '<section aria-labelledby="run"><h2 id="run">Notes on the logs and waypoints</h2>',
    `<details><summary>${count}</summary><ul class="notes">${items.join('')}</ul></details></section>`,
  ].join('');
}
