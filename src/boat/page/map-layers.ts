import { isDrawn } from '../../../shared/day/index.ts';
import { type Polygon, readShore, readZones } from '../../../shared/geo/index.ts';
import { INKS, type Theme } from '../colors.ts';
import { type Drawing, drawDot, haloText, type Size, strokeLine, type ToPixels } from './draw-ground.ts';
import { areaOf } from './ground.ts';
import type { Session } from './session.ts';
import { boatDirectionText } from './words.ts';

export type Point = [x: number, y: number];
export interface Degrees {
  readonly lat: number;
  readonly lon: number;
}

/** A drawing surface of the map, with its conversions. */
export interface MapSheet {
  readonly canvas: Drawing;
  readonly theme: Theme;
  readonly session: Session;
  /** CSS pixels per meter. */
  readonly scale: number;
  /** px. */
  readonly size: Size;
  /** m east and south of a place, and its pixels. */
  meters(place: Degrees): Point;
  pixels(place: Degrees): Point;
}

const zonesOf = ({ data }: Pick<Session, 'data'>) =>
  data.options.zones === undefined ? [] : readZones(data.options.zones.value, data.options.zones.file).zones;

/** Places that the map shows besides its depths: spots, ramp, and corners of zones and shoreline. */
export function placesShown({ data, planner }: Session): Degrees[] {
  const { shore } = data.options;
  const polygons = [
    ...zonesOf({ data }).flatMap((zone) => zone.polygons),
    ...(shore === undefined ? [] : readShore(shore.value, shore.file).polygons),
  ];
  const corners = polygons.flat(2).map(([lon, lat]) => ({ lat, lon }));
  return [...planner.spots, ...(data.plan === undefined ? [] : [data.plan.ramp]), ...corners];
}

/** Draws the shoreline and the closed and slow zones on a canvas in m east and south. */
export function drawZones({ canvas, theme, session, scale, meters }: MapSheet): void {
  const { shore } = session.data.options;
  const pathOf = (polygons: readonly Polygon[]): Path2D =>
    areaOf(polygons, (lon, lat) => meters({ lat, lon }));
  if (shore !== undefined) {
    canvas.strokeStyle = INKS[theme].ink;
    canvas.lineWidth = 2 / scale;
    canvas.stroke(pathOf(readShore(shore.value, shore.file).polygons));
  }
  for (const { rule, polygons } of zonesOf(session)) {
    const path = pathOf(polygons);
    canvas.strokeStyle = canvas.fillStyle = INKS[theme][rule];
    canvas.globalAlpha = rule === 'closed' ? 0.45 : 0.18;
    canvas.fill(path, 'evenodd');
    canvas.globalAlpha = 1;
    canvas.setLineDash(rule === 'closed' ? [] : [8 / scale, 5 / scale]);
    canvas.lineWidth = 3 / scale;
    canvas.stroke(path);
    canvas.setLineDash([]);
  }
}

/** Writes the rule and name of each zone at its center. */
export function labelZones({ canvas, theme, session, meters }: MapSheet, toPixels: ToPixels): void {
  canvas.font = '700 14px system-ui,sans-serif';
  for (const { rule, name, polygons } of zonesOf(session)) {
    const places = (polygons[0]?.[0] ?? []).map(([lon, lat]) => meters({ lat, lon }));
    const middle = (at: 0 | 1): number =>
      places.reduce((sum, place) => sum + place[at], 0) / Math.max(1, places.length);
    haloText(canvas, `${rule}: ${name}`, ...toPixels(middle(0), middle(1)), theme, INKS[theme][rule]);
  }
}

/** Draws the runs still to come, over known water only, and today's track. */
export function drawRoute({ canvas, theme, session, pixels }: MapSheet, track: readonly Degrees[]): void {
  const { hand } = session;
  const { route, boat, paper } = INKS[theme];
  const runs = [...hand.coming.map(({ run }) => run), ...(hand.plan === undefined ? [] : [hand.plan.home])];
  const lines = runs.flatMap(({ parts }) => parts.filter(isDrawn).map(({ line }) => line));
  // All halos come before the first line, so that none hides a line.
  for (const stroke of [[paper, 6] as const, [route, 2.5] as const])
    for (const line of lines) strokeLine(canvas, line.map(pixels), [stroke]);
  canvas.setLineDash([2, 5]);
  if (track.length > 1) strokeLine(canvas, track.map(pixels), [[boat, 3]]);
  canvas.setLineDash([]);
}

/** Draws the ramp and the spots: upcoming stops numbered, the current one large, names where there is room. */
export function drawSpots({ canvas, theme, session, size, pixels }: MapSheet): void {
  const { planner, hand, current } = session;
  const { ink, paper, route } = INKS[theme];
  const order = hand.coming.map(({ spot }) => spot.name);
  const now = current?.spot.name;
  const rank = (name: string): number =>
    name === now ? -1 : order.includes(name) ? order.indexOf(name) : 999;
  const shown = planner.spots
    .map((spot) => ({ name: spot.name, rank: rank(spot.name), place: pixels(spot) }))
    .filter(({ place: [x, y] }) => x > -40 && y > -40 && x < size[0] + 40 && y < size[1] + 40)
    .sort((a, b) => a.rank - b.rank);
  for (const { rank: at, place } of shown.toReversed()) {
    const isPlanned = at < 999;
    drawDot(
      canvas,
      place,
      at < 0 ? 9 : isPlanned ? 6 : 4,
      isPlanned ? route : paper,
      isPlanned ? paper : ink,
    );
  }
  const dots = shown.map(({ place }) => place);
  const taken: Point[] = [];
  const ramp = session.data.plan?.ramp;
  canvas.font = '700 14px system-ui,sans-serif';
  if (ramp !== undefined) {
    const [x, y] = pixels(ramp);
    canvas.fillStyle = ink;
    canvas.fillRect(x - 6, y - 6, 12, 12);
    haloText(canvas, 'ramp', x, y - 16, theme);
    taken.push([x, y - 16]);
  }
  for (const { name, rank: at, place } of shown) {
    const label: Point = [place[0], place[1] - (at < 0 ? 20 : 16)];
    const isNear = ([x, y]: Point): boolean => Math.abs(x - label[0]) <= 30 && Math.abs(y - label[1]) <= 15;
    // The name of an upcoming stop is always drawn, even over the dot of another spot.
    const isFree = !taken.some(isNear) && (at < 999 || !dots.some(isNear));
    if (!isFree && at >= 0) continue;
    taken.push(label);
    haloText(canvas, at >= 0 && at < 999 ? `${at + 1} ${name}` : name, ...label, theme);
  }
}

/** Draws the boat, with the accuracy of its position and its heading. */
export function drawBoat({ canvas, theme, session, scale, pixels }: MapSheet): void {
  const place = session.position.now;
  if (place === undefined || place.source === 'spot') return;
  const { boat, paper } = INKS[theme];
  const here = pixels(place);
  if (place.exact !== undefined) {
    canvas.beginPath();
    canvas.arc(...here, place.exact * scale, 0, 2 * Math.PI);
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
    strokeLine(canvas, [here, ahead], [[boat, 4]]);
  }
  drawDot(canvas, here, 8, boat, paper);
}

/** Draws a scale bar of a round length. */
export function drawBar({ canvas, theme, session, scale, size }: MapSheet): void {
  const { units } = session.data;
  const unit = units === 'ft' ? 0.9144 : 1;
  const lengths = [1000, 500, 200, 100, 50, 20, 10].map((length) => length * unit);
  const length = lengths.find((each) => each * scale <= 120) ?? lengths[lengths.length - 1];
  const [x, y] = [12, size[1] - 14];
  const bar = [[x, y] as const, [x + length * scale, y] as const];
  strokeLine(canvas, bar, [
    [INKS[theme].paper, 8],
    [INKS[theme].ink, 4],
  ]);
  canvas.font = '600 14px system-ui,sans-serif';
  haloText(canvas, boatDirectionText(length, units), x + (length * scale) / 2, y - 14, theme);
}
