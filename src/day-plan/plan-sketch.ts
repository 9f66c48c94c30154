import type { DayPlan, PlanPlace } from '../../shared/day-plan/plan.ts';
import { localFrame } from '../../shared/geodesy/local-frame.ts';
import { isDrawn, runsOf } from './plan-gpx.ts';

/** Width of the drawing, in its own units, and the margin round it. */
const WIDTH = 600;
const MARGIN = 30;
const LEAST_HEIGHT = 160;
const MOST_HEIGHT = 700;

/** The stops in place, numbered, with a line for each run over known water; north is up. */
export function planSketch(plan: DayPlan): string {
  const frame = localFrame(plan.ramp.lat, plan.ramp.lon);
  const places = [plan.ramp, plan.from, ...plan.stops.map(({ side }) => side)];
  const lines = runsOf(plan).map((run) => (isDrawn(run) ? run.line : []));
  const local = [...places, ...lines.flat()].map(({ lat, lon }) => frame.toLocal(lat, lon));
  const [west, east] = spanOf(local.map(([x]) => x));
  const [south, north] = spanOf(local.map(([, y]) => y));
  const scale = Math.min(
    (WIDTH - 2 * MARGIN) / Math.max(1, east - west),
    (MOST_HEIGHT - 2 * MARGIN) / Math.max(1, north - south),
  );
  const height = Math.max(LEAST_HEIGHT, (north - south) * scale + 2 * MARGIN);
  const at = ({ lat, lon }: Pick<PlanPlace, 'lat' | 'lon'>): [number, number] => {
    const [x, y] = frame.toLocal(lat, lon);
    const left = (WIDTH - (east - west) * scale) / 2;
    return [left + (x - west) * scale, height - MARGIN - (y - south) * scale];
  };
  const paths = lines
    .filter((line) => line.length > 1)
    .map((line) => `<polyline points="${line.map((place) => pair(at(place))).join(' ')}"/>`);
  const dots = groupNear(plan.stops.map(({ side }) => at(side))).map(({ place, members }) =>
    dot(place, members.map((index) => index + 1).join(', ')),
  );
  return [
    `<figure><svg viewBox="0 0 ${WIDTH} ${Math.round(height)}" role="img" aria-label="Stops in order, north up">`,
    `<g fill="none" stroke="currentColor" stroke-width="1.5" stroke-opacity="0.55">${paths.join('')}</g>`,
    ...dots,
    dot(at(plan.ramp), 'ramp'),
    ...(plan.from.name === 'ramp' ? [] : [dot(at(plan.from), plan.from.name)]),
    '</svg><figcaption>North is up. A line is a run over known water; runs without a line are estimates.</figcaption></figure>',
  ].join('');
}

/** Units of the drawing within which places share a label. */
const NEAR = 9;

/** Places that lie on each other, with the numbers of all of them. */
function groupNear(
  places: readonly [number, number][],
): { place: readonly [number, number]; members: number[] }[] {
  const groups: { place: readonly [number, number]; members: number[] }[] = [];
  places.forEach((place, index) => {
    const group = groups.find(({ place: [x, y] }) => Math.hypot(x - place[0], y - place[1]) < NEAR);
    if (group === undefined) groups.push({ place, members: [index] });
    else group.members.push(index);
  });
  return groups;
}

const spanOf = (values: readonly number[]): [number, number] => [Math.min(...values), Math.max(...values)];

const pair = ([x, y]: readonly [number, number]): string => `${x.toFixed(1)},${y.toFixed(1)}`;

const dot = ([x, y]: readonly [number, number], label: string): string =>
  `<circle cx="${x.toFixed(1)}" cy="${y.toFixed(1)}" r="4" fill="currentColor"/><text x="${(x + 7).toFixed(1)}" y="${(y - 5).toFixed(1)}">${label}</text>`;
