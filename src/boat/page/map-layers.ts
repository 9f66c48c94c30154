import { mean } from 'd3-array';
import { isDrawn } from '../../../shared/day/index.ts';
import { type Polygon, readShore, zonesOf } from '../../../shared/geo/index.ts';
import { areaOf, type Point } from './ground.ts';
import type { MapSheet } from './map-sheet.ts';
import type { Degrees } from './position.ts';
import type { Session } from './session.ts';
import { boatDistanceText } from './words.ts';

const zonesOn = ({ data }: Session) => (data.options.zones === undefined ? [] : zonesOf(data.options.zones));

const shoreOf = ({ data: { options } }: Session): readonly Polygon[] =>
  options.shore === undefined ? [] : readShore(options.shore.value, options.shore.file).polygons;

export const spotsAndRamp = ({ data, planner }: Session): Degrees[] => [
  ...planner.spots,
  ...(data.plan === undefined ? [] : [data.plan.ramp]),
];

export const placesShown = (session: Session): Degrees[] => [
  ...spotsAndRamp(session),
  ...[...zonesOn(session).flatMap(({ polygons }) => polygons), ...shoreOf(session)]
    .flat(2)
    .map(([lon, lat]) => ({ lat, lon })),
];

/** Draws the shoreline and the closed and slow zones on a sheet that is in meters. */
export function drawZones({ canvas, inks, view }: MapSheet, session: Session): void {
  const pathOf = (polygons: readonly Polygon[]): Path2D =>
    areaOf(polygons, (lon, lat) => session.meters({ lat, lon }));
  canvas.strokeStyle = inks.ink;
  canvas.lineWidth = 2 / view.k;
  canvas.stroke(pathOf(shoreOf(session)));
  for (const { rule, polygons } of zonesOn(session)) {
    const path = pathOf(polygons);
    canvas.fillStyle = inks[rule];
    canvas.globalAlpha = rule === 'closed' ? 0.45 : 0.18;
    canvas.fill(path, 'evenodd');
    canvas.globalAlpha = 1;
    canvas.strokeStyle = inks.paper;
    canvas.lineWidth = 6 / view.k;
    canvas.stroke(path);
    canvas.strokeStyle = inks[rule];
    canvas.setLineDash(rule === 'closed' ? [] : [8 / view.k, 5 / view.k]);
    canvas.lineWidth = 3 / view.k;
    canvas.stroke(path);
    canvas.setLineDash([]);
  }
}

export function labelZones(sheet: MapSheet, session: Session): void {
  sheet.canvas.font = '700 14px system-ui,sans-serif';
  for (const { rule, name, polygons } of zonesOn(session)) {
    const places = (polygons[0]?.[0] ?? []).map(([lon, lat]) => session.meters({ lat, lon }));
    const middle: Point = [mean(places, ([x]) => x) ?? 0, mean(places, ([, y]) => y) ?? 0];
    sheet.text(`${rule}: ${name}`, sheet.pixels(middle), sheet.inks[rule]);
  }
}

/** Draws the runs still to come, over known water only, and the track of the boat. */
export function drawRoute(sheet: MapSheet, session: Session): void {
  const { hand, track } = session;
  const { route, boat, paper } = sheet.inks;
  const pointsOf = (places: readonly Degrees[]): Point[] =>
    places.map((place) => sheet.pixels(session.meters(place)));
  const runs = [...hand.coming.map(({ run }) => run), ...(hand.plan === undefined ? [] : [hand.plan.home])];
  const lines = runs.flatMap(({ parts }) => parts.filter(isDrawn).map(({ line }) => pointsOf(line)));
  // The halos of all runs come first, so that none hides the line of another run.
  for (const stroke of [[paper, 6] as const, [route, 2.5] as const])
    for (const line of lines) sheet.line(line, [stroke]);
  if (track.length < 2) return;
  sheet.line(pointsOf(track), [[paper, 5]]);
  sheet.canvas.setLineDash([2, 5]);
  sheet.line(pointsOf(track), [[boat, 3]]);
  sheet.canvas.setLineDash([]);
}

/** Draws the ramp and the spots: upcoming stops numbered, the current spot large, names where they fit. */
export function drawSpots(sheet: MapSheet, session: Session): void {
  const { canvas, size } = sheet;
  const { planner, hand, current, data } = session;
  const { ink, paper, route } = sheet.inks;
  const order = hand.coming.map(({ spot }) => spot.name);
  const rank = (name: string): number =>
    name === current?.spot.name ? -1 : order.includes(name) ? order.indexOf(name) : 999;
  const shown = planner.spots
    .map((spot) => ({ name: spot.name, rank: rank(spot.name), place: sheet.pixels(session.meters(spot)) }))
    .filter(({ place: [x, y] }) => x > -40 && y > -40 && x < size[0] + 40 && y < size[1] + 40)
    .sort((a, b) => a.rank - b.rank);
  for (const { rank: at, place } of shown.toReversed()) {
    if (at < 999) sheet.dot(place, at < 0 ? 9 : 6, route, paper);
    else sheet.dot(place, 4, paper, ink);
  }
  const taken: Point[] = [];
  canvas.font = '700 14px system-ui,sans-serif';
  if (data.plan !== undefined) {
    const [x, y] = sheet.pixels(session.meters(data.plan.ramp));
    canvas.fillStyle = ink;
    canvas.fillRect(x - 6, y - 6, 12, 12);
    sheet.text('ramp', [x, y - 16]);
    taken.push([x, y - 16]);
  }
  for (const { name, rank: at, place } of shown) {
    const label: Point = [place[0], place[1] - (at < 0 ? 20 : 16)];
    const isNear = ([x, y]: Point): boolean => Math.abs(x - label[0]) <= 30 && Math.abs(y - label[1]) <= 15;
    // The name of an upcoming stop may cover the dot of another spot, but not another label. The current spot
    // always gets its name.
    const isFree = !taken.some(isNear) && (at < 999 || !shown.some((other) => isNear(other.place)));
    if (!isFree && at >= 0) continue;
    taken.push(label);
    sheet.text(at >= 0 && at < 999 ? `${at + 1} ${name}` : name, label);
  }
}

export function drawBoat(sheet: MapSheet, session: Session): void {
  const place = session.position.now;
  if (place === undefined || place.source === 'spot') return;
  const { canvas, view } = sheet;
  const { boat, paper } = sheet.inks;
  const here = sheet.pixels(session.meters(place));
  if (place.exact !== undefined) {
    canvas.beginPath();
    canvas.arc(...here, place.exact * view.k, 0, 2 * Math.PI);
    canvas.globalAlpha = 0.25;
    canvas.fillStyle = boat;
    canvas.fill();
    canvas.globalAlpha = 1;
    canvas.lineWidth = 1.5;
    canvas.strokeStyle = boat;
    canvas.stroke();
  }
  if (place.heading !== undefined) {
    const turn = (place.heading * Math.PI) / 180;
    const ahead: Point = [here[0] + 26 * Math.sin(turn), here[1] - 26 * Math.cos(turn)];
    sheet.line(
      [here, ahead],
      [
        [paper, 7],
        [boat, 4],
      ],
    );
  }
  sheet.dot(here, 8, boat, paper);
}

export function drawBar(sheet: MapSheet, { data: { units } }: Session): void {
  const { inks, size, view } = sheet;
  const unit = units === 'ft' ? 0.9144 : 1;
  const lengths = [10, 20, 50, 100, 200, 500, 1000].map((length) => length * unit);
  const length = lengths.findLast((each) => each * view.k <= 120) ?? lengths[0];
  const [x, y] = [12, size[1] - 14];
  const bar: Point[] = [
    [x, y],
    [x + length * view.k, y],
  ];
  sheet.line(bar, [
    [inks.paper, 8],
    [inks.ink, 4],
  ]);
  sheet.canvas.font = '600 14px system-ui,sans-serif';
  sheet.text(boatDistanceText(length, units), [x + (length * view.k) / 2, y - 14]);
}
