import { type DisplayUnits, METERS_PER_SECOND_PER } from '../../shared/contract/index.ts';
import type { DayPlan, PlannedStop, Run } from '../../shared/day/index.ts';
import { formatClock } from '../../shared/text/index.ts';
import {
  boatText,
  castText,
  chanceText,
  declinationOf,
  fallbackText,
  learnedLines,
  legsText,
  minutesOf,
  outlookText,
  PLAN_CAUTIONS,
  RUN_CAUTION,
  runText,
  stopName,
  waitText,
  wayText,
} from '../day/index.ts';
import { planSketch } from './plan-sketch.ts';

/**
 * The plan as one self-contained HTML page that prints well: no script, no network; text of the person's
 * files is escaped everywhere.
 */
export function renderPlanPage(plan: DayPlan, units: DisplayUnits): string {
  const title = `Day plan ${plan.date}`;
  return [
    '<!doctype html>',
    '<html lang="en"><head><meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width,initial-scale=1">',
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">`,
    `<title>${escapeHtml(title)}</title><style>${STYLE}</style></head><body>`,
    planSections(plan, units, 'page'),
    '</body></html>',
    '',
  ].join('\n');
}

/**
 * The plan as a part of a page; needs `PLAN_STYLE`.
 *
 * @param place `page` on a page of its own, `part` for a section within another.
 */
export function planSections(plan: DayPlan, units: DisplayUnits, place: 'page' | 'part'): string {
  const sub = place === 'page' ? 'h2' : 'h3';
  const [open, close] =
    place === 'page'
      ? [`<main class="day-plan"><h1>Day plan ${escapeHtml(plan.date)}</h1>`, '</main>']
      : ['<section class="day-plan" aria-labelledby="day"><h2 id="day">The day</h2>', '</section>'];
  return [
    open,
    `<p class="lead">${escapeHtml(leadText(plan, units))}</p>`,
    `<ul class="cautions">${(place === 'page' ? PLAN_CAUTIONS : [RUN_CAUTION]).map((text) => `<li>${escapeHtml(text)}</li>`).join('')}</ul>`,
    plan.stops.length === 0 ? '<p>No stop fits this day; the reasons are below.</p>' : stopTable(plan, units),
    plan.stops.length === 0 ? '' : planSketch(plan),
    listPart(sub, 'What the logs taught', learnedLines(plan, units).map(escapeHtml)),
    listPart(
      sub,
      `Left out (${plan.leftOut.length})`,
      plan.leftOut.map(({ name, why }) => `<b>${escapeHtml(name)}</b>: ${escapeHtml(why)}`),
    ),
    `<div><${sub}>How to read the day</${sub}><p>${escapeHtml(readingText(plan))}</p></div>`,
    close,
  ].join('\n');
}

function leadText(plan: DayPlan, units: DisplayUnits): string {
  const speed =
    units === 'ft' ? plan.speed / METERS_PER_SECOND_PER.mph : plan.speed / METERS_PER_SECOND_PER.kmh;
  const left = minutesOf(plan.checkIn - plan.back);
  return [
    `From ${formatClock(plan.start)} at the ${plan.from.name === 'ramp' ? 'ramp' : 'boat'}, back at ${formatClock(plan.back)}, ${left} min before the check-in at ${formatClock(plan.checkIn)}.`,
    `${plan.stops.length} stops among ${plan.spots} spots. ${outlookText(plan, units)}.`,
    `Runs at ${Math.round(speed)} ${units === 'ft' ? 'mph' : 'km/h'}${plan.hasWater ? '' : ', all of them estimates: no soundings were given'}.`,
    plan.logged > 0 ? `${plan.logged} logged stops count.` : '',
  ]
    .filter((text) => text !== '')
    .join(' ');
}

function stopTable(plan: DayPlan, units: DisplayUnits): string {
  const declination = declinationOf(plan);
  const rows = plan.stops.map((stop, at) => stopRows(stop, at + 1, units, declination));
  const home = [
    cell('Arrive', formatClock(plan.back)),
    cell('Leave', ''),
    cell('Latest', formatClock(plan.latestBack)),
    cell('Boat, first cast', ''),
    runCell(plan.home, declination, units),
    cell('Fish', ''),
  ];
  const heads = ['Stop', 'Arrive', 'Leave', 'Latest', 'Boat, first cast', 'Run', 'Fish'];
  return [
    `<table><thead><tr>${heads.map((text) => `<th scope="col">${text}</th>`).join('')}</tr></thead>`,
    ...rows,
    `<tbody><tr><th scope="row">${escapeHtml(plan.end.name)}</th>${home.join('')}</tr></tbody>`,
    '</table>',
  ].join('\n');
}

/** A cell that names its column where there is no room for a head. */
const cell = (head: string, text: string, small = ''): string =>
  text === ''
    ? '<td class="empty"></td>'
    : `<td data-head="${head}">${escapeHtml(text)}${small === '' ? '' : ` <small>${escapeHtml(small)}</small>`}</td>`;

function runCell(run: Run, declination: number | undefined, units: DisplayUnits): string {
  const legs = legsText(run, declination, units);
  const way = wayText(run.distance, units);
  const small = legs === '' ? `${way}, no line` : /[,;]/.test(legs) ? `${way}: ${legs}` : legs;
  return cell('Run', runText(run), small);
}

function stopRows(
  stop: PlannedStop,
  number: number,
  units: DisplayUnits,
  declination: number | undefined,
): string {
  const boat = boatText(stop, units);
  const cast = castText(stop, units);
  const where = [
    boat === '' ? '' : `boat ${boat}`,
    cast === '' ? '' : `cast ${cast}`,
    stop.spot.lure ?? '',
  ].filter((text) => text !== '');
  const others = [0, 1].map((at) => fallbackText(stop, at)).filter((text) => text !== '');
  const more = [
    stop.spot.structure === undefined ? '' : stop.spot.structure,
    stop.visit > 1 ? `visit ${stop.visit}` : '',
    stop.spot.marks.length > 1 ? `marks ${stop.spot.marks.join(', ')}` : '',
    stop.why,
  ].filter((text) => text !== '');
  const cells = [
    cell('Arrive', formatClock(stop.arrive), waitText(stop)),
    cell('Leave', formatClock(stop.leave), `${minutesOf(stop.stay)} min`),
    cell('Latest', formatClock(stop.latestLeave)),
    cell('Boat, first cast', where.join(', ')),
    runCell(stop.run, declination, units),
    cell('Fish', chanceText(stop)),
  ];
  return [
    '<tbody>',
    `<tr><th scope="row">${number}. ${escapeHtml(stopName(stop))}</th>${cells.join('')}</tr>`,
    `<tr class="more"><td colspan="7">${escapeHtml(more.join('; '))}. Give up after ${minutesOf(stop.giveUp)} min without a bite${others.length === 0 ? ': then the next stop or the ramp' : `: then ${escapeHtml(others.join(', or '))}`}. This side rests until ${formatClock(stop.restUntil)}. <span class="log">fish ____ min ____</span></td></tr>`,
    '</tbody>',
  ].join('');
}

function listPart(heading: 'h2' | 'h3', title: string, items: readonly string[]): string {
  if (items.length === 0) return '';
  return `<div><${heading}>${escapeHtml(title)}</${heading}><ul class="list">${items.map((item) => `<li>${item}</li>`).join('')}</ul></div>`;
}

const readingText = (plan: DayPlan): string =>
  `D is the boat on the deep side, U on the shallow side or, on a top, in deep water across from D. Latest is the last moment to leave with the rest of the plan still possible. Run times are the middle and one standard deviation. Water that your sonar did not cover is called not sounded: the line is cut there and the time is a straight line with an allowance. Fish is the chance of at least one; chances, weights and rest are a model with stated assumptions, not a measurement; ${minutesOf(plan.checkIn - plan.latestBack)} min are kept in hand before the check-in.`;

function escapeHtml(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}

/** Style of the plan's sections; they stand alone or in another page. */
export const PLAN_STYLE = `
.day-plan .cautions{border-left:4px solid currentColor;padding:.2rem 0 .2rem 1.6rem;font-size:.93rem;margin:.8rem 0}
.day-plan table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
.day-plan th,.day-plan td{text-align:left;vertical-align:top;padding:.35rem .5rem}
.day-plan thead th{font-size:.82rem;border-bottom:2px solid currentColor}
.day-plan tbody{break-inside:avoid;border-bottom:1px solid #8888}
.day-plan tbody th{font-size:1.08rem;white-space:nowrap}
.day-plan td small{display:block;font-size:.86rem}
.day-plan .more td{font-size:.9rem;padding-top:0}
.day-plan .log{white-space:nowrap;font-weight:600}
.day-plan .list{columns:2 20rem;column-gap:2.2rem;font-size:.9rem;padding-left:1.1rem}
.day-plan svg{display:block;width:100%;max-width:40rem;height:auto;margin:1.2rem auto}
.day-plan svg text{font:600 13px system-ui,sans-serif;fill:currentColor;paint-order:stroke;stroke:Canvas;stroke-width:3px}
.day-plan figcaption{font-size:.88rem;text-align:center}
.day-plan figure{margin:0;break-inside:avoid}
@media screen and (max-width:44rem){
.day-plan table,.day-plan tbody{display:block}
.day-plan thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.day-plan tr{display:grid;grid-template-columns:repeat(3,1fr);padding:.1rem 0}
.day-plan tbody{padding:.5rem 0}
.day-plan th,.day-plan td{padding:.12rem .2rem}
.day-plan tbody th,.day-plan td[data-head="Boat, first cast"],.day-plan td[data-head=Run],.day-plan .more td{grid-column:1/-1}
.day-plan .empty{display:none}
.day-plan td[data-head]::before{content:attr(data-head) " ";font-size:.82rem;opacity:.8}
.day-plan td small{display:inline}
.day-plan .more{display:block}
}
@media print{.day-plan{font-size:12pt}.day-plan h2,.day-plan h3{break-after:avoid}.day-plan .list li{break-inside:avoid}.day-plan svg text{stroke:#fff}}
`;

const STYLE = `:root{color-scheme:light dark}
body{margin:0;font:17px/1.45 system-ui,sans-serif;background:Canvas;color:CanvasText}
.day-plan{max-width:66rem;margin:0 auto;padding:1rem}
h1{font-size:1.7rem;margin:.2rem 0}
h2{font-size:1.15rem;margin:1.6rem 0 .4rem}
.lead{margin:.3rem 0}
${PLAN_STYLE}
@page{margin:12mm}
@media print{body{background:#fff;color:#000}.day-plan{padding:0;max-width:none}}`;
