import { type DayPlan, isDrawn, type PlanPlace } from '../../shared/day/index.ts';
import { localFrame } from '../../shared/geo/index.ts';
import { runsOf } from '../day/index.ts';

/** Width of the drawing, in its own units, and the margin round it. */
const WIDTH = 600;
const MARGIN = 30;
const LEAST_HEIGHT = 160;
const MOST_HEIGHT = 700;

/** The stops in place, numbered, with a line for each run over known water; north is up. */
export function planSketch(plan: DayPlan): string {
  const frame = localFrame(plan.ramp.lat, plan.ramp.lon);
  const places = [plan.ramp, plan.from, ...plan.stops.map(({ side }) => side)];
  const lines = runsOf(plan).flatMap((run) => run.parts.filter(isDrawn).map(({ line }) => line));
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
  const groups = groupNear(plan.stops.map(({ side }) => at(side))).map(({ place, members }) => ({
    place,
    label: members.map((index) => index + 1).join(', '),
  }));
  const ends = plan.from.name === 'ramp' ? [plan.ramp] : [plan.ramp, plan.from];
  const dots = [
    ...groups,
    ...ends.map((end) => ({ place: at(end), label: end === plan.ramp ? 'ramp' : plan.from.name })),
  ];
  return [
    `<figure><svg viewBox="0 0 ${WIDTH} ${Math.round(height)}" role="img" aria-label="Stops in order, north up">`,
    `<g fill="none" stroke="currentColor" stroke-width="1.5" stroke-opacity="0.55">${paths.join('')}</g>`,
    ...drawDots(dots, height),
    '</svg><figcaption>North is up. A line is a run over known water; where there is none your sonar did not cover the way.</figcaption></figure>',
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

interface Dot {
  readonly place: readonly [number, number];
  readonly label: string;
}

/** Box round a label: middle, half width and half height. */
type Box = readonly [x: number, y: number, halfWidth: number, halfHeight: number];

/** Width of a letter of a label, its height and a dot's radius, units of the drawing. */
const LETTER = 7.6;
const LETTER_HEIGHT = 12;
const DOT = 4;

/** Dots with their labels, each on the side where it hides least and is inside the drawing. */
function drawDots(dots: readonly Dot[], height: number): string[] {
  const taken: Box[] = dots.map(({ place: [x, y] }) => [x, y, DOT, DOT]);
  return dots.map(({ place: [x, y], label }) => {
    const half = (label.length * LETTER) / 2;
    const boxes = [
      [7 + half, -9],
      [-7 - half, -9],
      [7 + half, 10],
      [-7 - half, 10],
      [0, -14],
      [0, 15],
    ].map(([dx, dy]): Box => [x + dx, y + dy, half, LETTER_HEIGHT / 2]);
    const cost = (box: Box): number =>
      (isInside(box, height) ? 0 : 1000) + taken.filter((other) => isOver(box, other)).length;
    const best = boxes.reduce((least, box) => (cost(box) < cost(least) ? box : least));
    taken.push(best);
    const text = `<text text-anchor="middle" x="${best[0].toFixed(1)}" y="${(best[1] + 4.5).toFixed(1)}">${label}</text>`;
    return `<circle cx="${x.toFixed(1)}" cy="${y.toFixed(1)}" r="${DOT}" fill="currentColor"/>${text}`;
  });
}

const isInside = ([x, y, wide, high]: Box, height: number): boolean =>
  x - wide >= 0 && x + wide <= WIDTH && y - high >= 0 && y + high <= height;

const isOver = (a: Box, b: Box): boolean =>
  Math.abs(a[0] - b[0]) < a[2] + b[2] && Math.abs(a[1] - b[1]) < a[3] + b[3];
