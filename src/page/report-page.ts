import { createHash } from 'node:crypto';
import { formatDiagnostic, fromMeters, togetherBySentence } from '../../shared/contract/index.ts';
import { indexSurvey } from '../../shared/survey/index.ts';
import { FIGURE_COLORS, FIGURE_DEFS, FIGURE_STYLE } from './figure-style.ts';
import { overviewFigure } from './overview-figure.ts';
import { PAGE_SCRIPT } from './page-script.ts';
import { PAGE_STYLE } from './page-style.ts';
import type { FigureContext } from './plan-figure.ts';
import { readingGuide } from './reading-guide.ts';
import type { ReportInput } from './report-input.ts';
import { spotList } from './spot-list.ts';
import { spotSection } from './spot-section.ts';
import { escapeText } from './svg.ts';

export type { ReportInput };

/** Cautions that every report carries. */
export const CAUTIONS: readonly string[] = [
  'Not for navigation. Depths are estimates from your own sonar, reduced to a stated water level. Use official charts and a proper lookout; unmarked shoals, standing timber and structures exist.',
  'Boat positions are not checked against no-entry, no-wake, dam or tailwater zones, private water or other traffic unless you supply those zones. Local law and licensed practice come first.',
  'Wear a life jacket and the engine cut-off lanyard. Wind, current and dam releases change what is safe.',
];

/**
 * The report as one HTML file: no network, no fonts, no storage; text of the person's files is escaped everywhere.
 *
 * A content security policy in the page allows its own style and script by their digests and nothing else.
 */
export function renderReport(input: ReportInput): string {
  const context: FigureContext = {
    units: input.units,
    survey: input.survey,
    index: input.index ?? indexSurvey(input.survey),
  };
  const list = spotList(input.waypoints, input.units);
  const style = [FIGURE_COLORS, FIGURE_STYLE, PAGE_STYLE, list.style, input.day?.style ?? ''].join('\n');
  const sheet = {
    headLine: `${input.title}, ${dayWords(input.date)}. Not for navigation: depths are estimates from your own sonar.`,
    hasManyFiles: new Set(input.waypoints.map(({ waypoint }) => waypoint.file)).size > 1,
  };
  const sections = input.waypoints.map((spot) => spotSection(spot, context, input.ownFields, sheet));
  return [
    '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy(style)}">`,
    '<meta name="viewport" content="width=device-width,initial-scale=1">',
    '<meta name="referrer" content="no-referrer"><meta name="color-scheme" content="light dark">',
    '<meta name="format-detection" content="telephone=no">',
    '<link rel="icon" href="data:,">',
    `<title>${escapeText(input.title)}, ${escapeText(input.date)}</title>`,
    `<style>${style}</style>\n</head>\n<body>`,
    `<svg width="0" height="0" class="fig unseen" aria-hidden="true" focusable="false">${FIGURE_DEFS}</svg>`,
    '<a class="skip" href="#spots">Skip to the list of spots</a>',
    header(input),
    '<main>',
    input.day?.markup ?? '',
    sinceLastTime(input),
    `<section aria-labelledby="map"><h2 id="map">The lake</h2><figure class="overview" tabindex="0" aria-label="Map of the lake">${overviewFigure(input)}</figure></section>`,
    `<section aria-labelledby="spots"><h2 id="spots">Spots</h2>${list.markup}</section>`,
    runNotes(input),
    readingGuide(input.units),
    `<h2 id="each">Spot by spot</h2>`,
    sections.join('\n'),
    `<footer>Made by downslope${input.version === undefined ? '' : ` ${escapeText(input.version)}`}. Not for navigation.</footer>`,
    `</main>\n<script>${PAGE_SCRIPT}</script>\n</body>\n</html>\n`,
  ].join('\n');
}

function policy(style: string): string {
  const digest = (text: string) => `'sha256-${createHash('sha256').update(text, 'utf8').digest('base64')}'`;
  return `default-src 'none'; style-src ${digest(style)}; script-src ${digest(PAGE_SCRIPT)}; img-src data:; base-uri 'none'; form-action 'none'`;
}

function header(input: ReportInput): string {
  const count = input.waypoints.length;
  const planned = input.waypoints.filter(
    ({ fields }) => fields.downslope !== undefined || fields.upslope !== undefined,
  ).length;
  const cautions = [...CAUTIONS, ...(input.cautions ?? [])].map((text) => `<li>${emphasize(text)}</li>`);
  const day = input.day === undefined ? '' : '<a href="#day">The day</a>';
  return [
    '<header class="top">',
    `<h1>${escapeText(input.title)}</h1>`,
    `<p class="lead">Plan for ${escapeText(dayWords(input.date))}. ${count} ${count === 1 ? 'spot' : 'spots'}, ${planned} with a cast. ${escapeText(levelWords(input))}</p>`,
    `<nav class="jump" aria-label="On this page">${day}<a href="#map">The lake</a><a href="#spots">Spots</a><a href="#reading">How to read the figures</a><a href="#each">Spot by spot</a></nav>`,
    `<section class="cautions" aria-labelledby="cautions"><h2 id="cautions">Before you go</h2><ul>${cautions.join('')}</ul></section>`,
    '</header>',
  ].join('');
}

/** The first words of a caution stand out. */
const emphasize = (text: string): string =>
  escapeText(text).replace(/^Not for navigation\./, '<b>Not for navigation.</b>');

const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

/** `10 July 2027`; anything but a date stays as it is. */
function dayWords(date: string): string {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(date);
  const month = match === null ? undefined : MONTHS[Number(match[2]) - 1];
  return match === null || month === undefined ? date : `${Number(match[3])} ${month} ${match[1]}`;
}

function levelWords({ waterLevel, waterLevelSource, units }: ReportInput): string {
  if (waterLevel === undefined) return 'Depths are as logged: no water level was given.';
  const level = fromMeters(waterLevel, units).toFixed(1).replace('-', '\u2212');
  const source = waterLevelSource === undefined ? '' : `, from ${waterLevelSource}`;
  return `Depths count from the water surface of that day, at a level of ${level} ${units}${source}.`;
}

/** Casts that are not what the earlier output said. */
function sinceLastTime({ changes = [] }: ReportInput): string {
  if (changes.length === 0) return '';
  const items = changes.map(
    ({ place, message }) => `<li><b>${escapeText(place?.waypoint ?? '')}:</b> ${escapeText(message)}</li>`,
  );
  return `<section aria-labelledby="since"><h2 id="since">Since last time</h2><ul class="notes">${items.join('')}</ul></section>`;
}

const SEVERITY_ORDER = { error: 0, warning: 1, note: 2 } as const;

/** What was said of the run as a whole, warnings first; what only tells how the work was saved is no matter here. */
function runNotes({ diagnostics = [], units }: ReportInput): string {
  const said = togetherBySentence(diagnostics.filter(({ code }) => !code.startsWith('store/'))).sort(
    (a, b) => SEVERITY_ORDER[a.severity] - SEVERITY_ORDER[b.severity],
  );
  if (said.length === 0) return '';
  const warnings = said.filter(({ severity }) => severity !== 'note').length;
  const items = said.map(
    (each) => `<li class="${each.severity}">${escapeText(formatDiagnostic(each, units))}</li>`,
  );
  const count = `${said.length} ${said.length === 1 ? 'message' : 'messages'}, ${warnings} of them ${warnings === 1 ? 'a warning' : 'warnings'}`;
  return [
    '<section aria-labelledby="run"><h2 id="run">Notes on the logs and waypoints</h2>',
    `<details><summary>${count}</summary><ul class="notes">${items.join('')}</ul></details></section>`,
  ].join('');
}
