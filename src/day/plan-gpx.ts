import { uniqBy } from 'es-toolkit/array';
import type { DisplayUnits } from '../../shared/contract/index.ts';
import {
  boatText,
  castText,
  type DayPlan,
  isDrawn,
  minutesOf,
  type PlannedStop,
  type Run,
  type RunPlace,
  stopName,
} from '../../shared/day/index.ts';
import { formatClock } from '../../shared/text/index.ts';
import { escapeXml, ownGpx, PLAN_PLACE, STOP_TYPE } from '../formats/gpx/index.ts';
import { toAscii } from '../formats/table/index.ts';

/**
 * Writes the plan as GPX 1.1: the stops in order, their fallbacks, and ramp, start and end as waypoints; and
 * a route for each part of a run over known water. Other parts get no line.
 *
 * @param routePoints Maximum number of points in a route; a longer part becomes several routes that share
 * their ends.
 */
export function formatPlanGpx(plan: DayPlan, units: DisplayUnits, routePoints: number): string {
  const runs = runsOf(plan);
  const names = [plan.from.name, ...plan.stops.map(stopName), plan.end.name];
  const routes = runs.flatMap((run, at) =>
    routesOf(run, `${numbered(at)} ${names[at]} to ${names[at + 1]}`, routePoints),
  );
  return ownGpx([
    `  <metadata><name>Day plan ${plan.date}</name><desc>Not for navigation. Runs are checked against your own sonar depths and zones only.</desc></metadata>`,
    ...plan.stops.map((stop, at) => waypoint(stop, at, units)),
    ...fallbackPoints(plan, units),
    ...endPoints(plan),
    ...routes,
  ]);
}

/** Lists all runs of a plan in order, ending with the run home; none when there are no stops. */
export const runsOf = (plan: DayPlan): Run[] =>
  plan.stops.length === 0 ? [] : [...plan.stops.map((stop) => stop.run), plan.home];

/** Tells whether a run is drawn from end to end. */
export const isWhole = ({ parts }: Run): boolean => parts.length > 0 && parts.every(isDrawn);

function fallbackPoints(plan: DayPlan, units: DisplayUnits): string[] {
  const stops = plan.stops.map(stopName);
  const fallbacks = uniqBy(
    plan.stops.flatMap((stop) => stop.fallbacks),
    stopName,
  );
  return fallbacks
    .filter((fallback) => !stops.includes(stopName(fallback)))
    .map((fallback) => {
      const cast = castText(fallback, units);
      const comment = `${PLAN_PLACE}instead of a stop${cast === '' ? '' : `, cast ${cast}`}`;
      return point(fallback.side, `F ${stopName(fallback)}`, comment);
    });
}

function endPoints({ ramp, from, end, stops }: DayPlan): string[] {
  if (stops.length === 0) return [];
  return [...new Map([ramp, from, end].map((place) => [place.name, place])).values()].map((place) =>
    point(place, place.name, `${PLAN_PLACE}start or end of the day`),
  );
}

const point = ({ lat, lon }: { lat: number; lon: number }, name: string, comment: string): string =>
  [
    `  <wpt lat="${lat.toFixed(7)}" lon="${lon.toFixed(7)}">`,
    `    <name>${xml(name)}</name>`,
    `    <cmt>${xml(comment)}</cmt>`,
    `    <type>${STOP_TYPE}</type>`,
    '  </wpt>',
  ].join('\n');

const numbered = (at: number): string => String(at + 1).padStart(2, '0');

function waypoint(stop: PlannedStop, at: number, units: DisplayUnits): string {
  const boat = boatText(stop, units);
  const cast = castText(stop, units);
  const comment = [
    `${formatClock(stop.arrive)}-${formatClock(stop.leave)}`,
    ...(boat === '' ? [] : [`boat ${boat}`]),
    ...(cast === '' ? [] : [`cast ${cast}`]),
    `${minutesOf(stop.stay)}min`,
  ].join(', ');
  return point(stop.side, `${numbered(at)} ${stopName(stop)}`, comment);
}

function routesOf(run: Run, name: string, most: number): string[] {
  const pieces: (readonly RunPlace[])[] = [];
  for (const { line } of run.parts.filter(isDrawn))
    for (let from = 0; from < line.length - 1; from += most - 1) pieces.push(line.slice(from, from + most));
  return pieces.map((piece, at) => {
    const title = pieces.length === 1 ? name : `${name} (${at + 1} of ${pieces.length})`;
    const points = piece.map(
      ({ lat, lon }) => `    <rtept lat="${lat.toFixed(7)}" lon="${lon.toFixed(7)}"/>`,
    );
    return ['  <rte>', `    <name>${xml(title)}</name>`, ...points, '  </rte>'].join('\n');
  });
}

const xml = (text: string): string => escapeXml(toAscii(text), 'utf-8');
