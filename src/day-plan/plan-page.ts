import { formatClock } from '../../shared/day-plan/clock.ts';
import { patternText } from '../../shared/day-plan/pattern.ts';
import type { DayPlan, PlannedStop } from '../../shared/day-plan/plan.ts';
import { type DisplayUnits, METERS_PER_SECOND_PER } from '../../shared/units.ts';
import { PLAN_CAUTIONS } from './plan-cautions.ts';
import { planSketch } from './plan-sketch.ts';
import {
  boatText,
  castText,
  distanceText,
  fallbackText,
  minutesOf,
  runText,
  stopName,
  waitText,
} from './stop-words.ts';

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
    planSections(plan, units, 'h1'),
    '</body></html>',
    '',
  ].join('\n');
}

/**
 * The plan as a part of a page.
 *
 * @param heading Element of its title: `h1` on a page of its own, `h2` inside another. Needs `PLAN_STYLE`.
 */
export function planSections(plan: DayPlan, units: DisplayUnits, heading: 'h1' | 'h2'): string {
  return [
    '<main class="day-plan">',
    `<${heading}>Day plan ${escapeHtml(plan.date)}</${heading}>`,
    `<p class="lead">${escapeHtml(leadText(plan, units))}</p>`,
    `<ul class="cautions">${PLAN_CAUTIONS.map((text) => `<li>${escapeHtml(text)}</li>`).join('')}</ul>`,
    plan.stops.length === 0 ? '<p>No stop fits this day; the reasons are below.</p>' : stopTable(plan, units),
    plan.stops.length === 0 ? '' : planSketch(plan),
    listSection(
      'What the last logged day taught',
      plan.pattern.map((line) => escapeHtml(patternText(line, units))),
    ),
    listSection(
      `Left out (${plan.leftOut.length})`,
      plan.leftOut.map(({ name, why }) => `<b>${escapeHtml(name)}</b>: ${escapeHtml(why)}`),
    ),
    `<section><h2>How to read it</h2><p>${escapeHtml(readingText(plan))}</p></section>`,
    '</main>',
  ].join('\n');
}

function leadText(plan: DayPlan, units: DisplayUnits): string {
  const speed =
    units === 'ft' ? plan.speed / METERS_PER_SECOND_PER.mph : plan.speed / METERS_PER_SECOND_PER.kmh;
  const left = minutesOf(plan.checkIn - plan.back);
  return [
    `From ${formatClock(plan.start)} at the ${plan.from.name === 'ramp' ? 'ramp' : 'boat'}, back at ${formatClock(plan.back)}, ${left} min before the check-in at ${formatClock(plan.checkIn)}.`,
    `${plan.stops.length} stops among ${plan.spots} spots, ${plan.fish.toFixed(1)} fish expected.`,
    `Runs at ${Math.round(speed)} ${units === 'ft' ? 'mph' : 'km/h'}${plan.hasWater ? '' : ', all of them estimates: no soundings were given'}.`,
    plan.logged > 0 ? `${plan.logged} logged stops count.` : '',
  ]
    .filter((text) => text !== '')
    .join(' ');
}

function stopTable(plan: DayPlan, units: DisplayUnits): string {
  const rows = plan.stops.map((stop, at) => stopRows(stop, at + 1, units, plan.giveUp));
  return [
    '<table><thead><tr><th scope="col">Stop</th><th scope="col">Arrive</th><th scope="col">Leave</th><th scope="col">Latest</th><th scope="col">Boat, first cast</th><th scope="col">Run</th><th scope="col">Fish</th></tr></thead>',
    ...rows,
    `<tbody><tr><th scope="row">Ramp</th><td>${formatClock(plan.back)}</td><td></td><td>${formatClock(plan.latestBack)}</td><td></td><td>${escapeHtml(runText(plan.home))}</td><td></td></tr></tbody>`,
    '</table>',
  ].join('\n');
}

function stopRows(stop: PlannedStop, number: number, units: DisplayUnits, giveUp: number): string {
  const boat = boatText(stop, units);
  const cast = castText(stop, units);
  const where = [
    boat === '' ? '' : `boat ${boat}`,
    cast === '' ? '' : `cast ${cast}`,
    stop.spot.lure ?? '',
  ].filter((text) => text !== '');
  const wait = waitText(stop);
  const others = [0, 1].map((at) => fallbackText(stop, at)).filter((text) => text !== '');
  const more = [
    stop.spot.structure === undefined ? '' : stop.spot.structure,
    stop.visit > 1 ? `visit ${stop.visit}` : '',
    stop.spot.marks.length > 1 ? `marks ${stop.spot.marks.join(', ')}` : '',
    stop.why,
  ].filter((text) => text !== '');
  return [
    '<tbody>',
    `<tr><th scope="row">${number}. ${escapeHtml(stopName(stop))}</th><td>${formatClock(stop.arrive)}${wait === '' ? '' : `<br><small>${escapeHtml(wait)}</small>`}</td><td>${formatClock(stop.leave)}</td><td>${formatClock(stop.latestLeave)}</td><td>${escapeHtml(where.join(', '))}</td><td>${escapeHtml(runText(stop.run))}<br><small>${escapeHtml(distanceText(stop.run.distance, units))}</small></td><td>${stop.fish.toFixed(1)}</td></tr>`,
    `<tr class="more"><td colspan="7">${escapeHtml(more.join('; '))}. Give up after ${minutesOf(giveUp)} min without a bite${others.length === 0 ? '' : `: then ${escapeHtml(others.join(', or '))}`}. This side rests until ${formatClock(stop.restUntil)}. <span class="log">fish ____ min ____</span></td></tr>`,
    '</tbody>',
  ].join('');
}

function listSection(title: string, items: readonly string[]): string {
  if (items.length === 0) return '';
  return `<section><h2>${escapeHtml(title)}</h2><ul class="list">${items.map((item) => `<li>${item}</li>`).join('')}</ul></section>`;
}

const readingText = (plan: DayPlan): string =>
  `D is the boat on the deep side, U on the shallow side. Latest is the last moment to leave with the rest of the plan still possible. Run times are the middle and one standard deviation. "Estimate" is a run that leaves the water your soundings show: a straight line with an allowance, and no line is drawn for it. Fish expected, chances and rest are a model with stated assumptions, not a measurement; ${minutesOf(plan.checkIn - plan.latestBack)} min are kept in hand before the check-in.`;

function escapeHtml(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}

/** Style of the plan's sections; they stand alone or in another page. */
export const PLAN_STYLE = `
.day-plan{max-width:64rem;margin:0 auto;padding:1rem}
.day-plan h1{font-size:1.7rem;margin:.2rem 0}
.day-plan h2{font-size:1.15rem;margin:1.6rem 0 .4rem}
.day-plan .lead{margin:.3rem 0}
.day-plan .cautions{border-left:4px solid currentColor;padding:.2rem 0 .2rem 1.6rem;font-size:.88rem;margin:.8rem 0}
.day-plan table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
.day-plan th,.day-plan td{text-align:left;vertical-align:top;padding:.3rem .5rem}
.day-plan thead th{font-size:.8rem;border-bottom:2px solid currentColor}
.day-plan tbody{break-inside:avoid;border-bottom:1px solid #8888}
.day-plan .more td{font-size:.84rem;padding-top:0}
.day-plan .log{white-space:nowrap}
.day-plan .list{columns:2 20rem;font-size:.86rem;padding-left:1.1rem}
.day-plan svg{display:block;width:100%;max-width:40rem;height:auto;margin:1.2rem auto}
.day-plan svg text{font:600 12px system-ui,sans-serif;fill:currentColor;paint-order:stroke;stroke:Canvas;stroke-width:3px}
.day-plan figcaption{font-size:.84rem;text-align:center}
.day-plan figure{margin:0;break-inside:avoid}
@media (max-width:40rem){.day-plan th,.day-plan td{padding:.25rem .3rem;font-size:.84rem}}
`;

const STYLE = `:root{color-scheme:light dark}
body{margin:0;font:16px/1.45 system-ui,sans-serif;background:Canvas;color:CanvasText}
${PLAN_STYLE}
@page{margin:12mm}
@media print{body{font-size:10.5pt;background:#fff;color:#000}.day-plan{padding:0;max-width:none}}`;
