import {
  type DisplayUnits,
  type EnrichedWaypoint,
  METERS_PER_SECOND_PER,
} from '../../shared/contract/index.ts';
import { type DayPlan, type PlannedStop, placeText, type Run, sideLetter } from '../../shared/day/index.ts';
import { distanceText, formatClock, plural, sideName } from '../../shared/text/index.ts';
import {
  declinationOf,
  fallbackText,
  learnedLines,
  legsText,
  minutesOf,
  outlookText,
  percentText,
  runText,
  waitText,
} from '../day/index.ts';
import { card, castLines, stopLines } from './card.ts';
import { sentence } from './figure-words.ts';
import { planFigure } from './plan-figure.ts';
import type { PageContext } from './report-input.ts';
import { sideFigure } from './side-figure.ts';
import { escapeText } from './svg.ts';

/** Writes the day plan as a section of a page, with the stops as cards. */
export function daySection(plan: DayPlan, context: PageContext): string {
  const { units } = context;
  const stops = plan.stops.map((_, at) => stopCard(plan, at, context));
  return [
    '<section class="day" aria-labelledby="day"><h2 id="day">The day</h2>',
    `<p><b>${escapeText(timesText(plan))}</b></p><p>${escapeText(outlookText(plan, units))}.</p>`,
    plan.stops.length === 0 ? '<p>No stop fits this day; the reasons are below.</p>' : stops.join('\n'),
    plan.stops.length === 0 ? '' : `<p class="home">${escapeText(homeText(plan, context))}</p>`,
    folded('What the logs taught', learnedLines(plan, units).map(escapeText)),
    folded(
      `Left out (${plan.leftOut.length})`,
      plan.leftOut.map(({ name, why }) => `<b>${escapeText(name)}</b>: ${escapeText(why)}`),
    ),
    `<details><summary>How to read the day</summary><p>${escapeText(readingText(plan, context))}</p></details>`,
    '</section>',
  ].join('\n');
}

/** Writes `06:30 from the ramp, back 12:08 for the check-in at 12:30: 11 stops.` */
const timesText = ({ start, from, back, checkIn, stops, hasWater }: DayPlan): string =>
  `${formatClock(start)} from ${placeText(from)}, back ${formatClock(back)} for the check-in at ${formatClock(checkIn)}: ${plural(stops.length, 'stop')}.${hasWater ? '' : ' No sonar logs were given, so all run times are estimates.'}`;

function stopCard(plan: DayPlan, at: number, context: PageContext): string {
  const stop = plan.stops[at];
  const { units } = context;
  const side = sideLetter(stop.side);
  const field = side === 'D' ? 'downslope' : 'upslope';
  const spot = spotOf(stop, context);
  const cast = spot?.fields[field];
  const isKnown = spot !== undefined && cast !== undefined;
  const wait = waitText(stop);
  const doing = isKnown ? castLines(cast, spot.fields, units) : stopLines(stop, units);
  const place = isKnown ? sideName(cast, spot.fields) : side === 'D' ? 'deep side' : 'shallow side';
  const lead = [
    `<b>${formatClock(stop.arrive)}\u2013${formatClock(stop.leave)}</b>`,
    `leave by ${formatClock(stop.latestLeave)}`,
    ...(wait === '' ? [] : [wait]),
    ...(stop.visit > 1 ? [`visit ${stop.visit}`] : []),
  ];
  return card({
    id: `stop-${at + 1}`,
    kind: `stop only-${side}`,
    number: String(at + 1),
    name: `${stop.spot.name} ${side}`,
    lead: `<p>${lead.join(', ')}<span class="unseen">, ${escapeText(place)}</span></p>`,
    doing,
    figure: isKnown ? planFigure(spot, context) : '',
    beside: isKnown ? `<figure>${sideFigure(spot, field, context)}</figure>` : '',
    after: afterStop(stop, plan, context),
    previous: at > 0 ? `stop-${at}` : undefined,
    next: at < plan.stops.length - 1 ? `stop-${at + 2}` : undefined,
    up: { id: 'map', words: 'map' },
  });
}

/** Tolerance for matching a stop with its mark and its boat position, deg: at most 2.2 m. */
const SAME = 2e-5;

/** Finds the spot of a stop; undefined if the spot changed after planning, or the page shows no spots. */
function spotOf(
  { spot, side }: PlannedStop,
  { spots, hasSections }: PageContext,
): EnrichedWaypoint | undefined {
  if (!hasSections) return undefined;
  const isAt = (a: { lat: number; lon: number }, b: { lat: number; lon: number }): boolean =>
    Math.abs(a.lat - b.lat) < SAME && Math.abs(a.lon - b.lon) < SAME;
  return spots.find(({ waypoint, fields }) => {
    const boat = (side.side === 0 ? fields.downslope : fields.upslope)?.boat;
    return waypoint.name === spot.name && isAt(waypoint, spot) && boat !== undefined && isAt(boat, side);
  });
}

function afterStop(stop: PlannedStop, plan: DayPlan, { units, hasSections, spots }: PageContext): string {
  const others = [0, 1].map((at) => fallbackText(stop, at)).filter((text) => text !== '');
  const instead = others.length === 0 ? 'then the next stop or the ramp' : `then ${others.join(', or ')}`;
  const why = [stop.spot.marks.length > 1 ? `marks ${stop.spot.marks.join(', ')}` : '', stop.why].filter(
    (text) => text !== '',
  );
  const leader = hasSections ? spots.find(({ waypoint }) => waypoint.name === stop.spot.name) : undefined;
  const link =
    leader === undefined
      ? ''
      : ` <a class="more" href="#spot-${leader.waypoint.index + 1}">All about ${escapeText(stop.spot.name)}</a>`;
  return [
    `<p class="then">Give up after ${minutesOf(stop.giveUp)} min without a bite: ${escapeText(instead)}.</p>`,
    `<details><summary>Fish ${percentText(stop)}, run here ${escapeText(plusMinus(runText(stop.run)))}; why</summary>`,
    `<p>${escapeText(wayText(stop.run, plan, units))}. ${escapeText(sentence(why.join('; ')))}. This side rests until ${formatClock(stop.restUntil)}.${link}</p></details>`,
    '<p class="log on-paper">fish ____ min ____</p>',
  ].join('');
}

const plusMinus = (text: string): string => text.replace('+-', '\u00b1');

function wayText(run: Run, plan: DayPlan, units: DisplayUnits): string {
  const legs = legsText(run, declinationOf(plan), units);
  return `${distanceText(run.distance, units)}${legs === '' ? ', no line' : `: ${legs}`}`;
}

const homeText = (plan: DayPlan, { units }: PageContext): string =>
  `Then to ${placeText(plan.end)}: ${plusMinus(runText(plan.home))}, there at ${formatClock(plan.back)}, at the latest ${formatClock(plan.latestBack)}. ${wayText(plan.home, plan, units)}.`;

function folded(title: string, items: readonly string[]): string {
  if (items.length === 0) return '';
  return `<details><summary>${escapeText(title)}</summary><ul class="notes">${items.map((item) => `<li>${item}</li>`).join('')}</ul></details>`;
}

const readingText = (plan: DayPlan, { units }: PageContext): string =>
  `Runs are at ${Math.round(plan.speed / METERS_PER_SECOND_PER[units === 'ft' ? 'mph' : 'kmh'])} ${units === 'ft' ? 'mph' : 'km/h'}. D is the boat on the deep side, U on the shallow side or, on a top, in deep water across from D. Leave by is the last moment to leave with the rest of the plan still possible. Run times are given with one standard deviation. Water that your sonar did not cover is called not sounded: the line is cut there, and the time is that of a straight line plus an allowance. Fish is the chance of at least one; chances, weights and rest are a model with stated assumptions, not a measurement. ${minutesOf(plan.checkIn - plan.latestBack)} min are kept in reserve before the check-in.`;
