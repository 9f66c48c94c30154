import type { FishingSpot, SpotSide } from '../../../shared/day/index.ts';
import { localFrame } from '../../../shared/geo/index.ts';
import { INKS } from '../colors.ts';
import { element } from './dom.ts';
import {
  drawDot,
  fillBlank,
  groundSteps,
  haloText,
  labelGround,
  strokeLine,
  themeNow,
} from './draw-ground.ts';
import type { Bottom, GroundPaths } from './ground.ts';
import type { Session } from './session.ts';

/** Least distance from the center to the edge of the sketch, m. */
const MIN_REACH = 34;

/** Cache of the ground around spots. */
const grounds = new Map<string, GroundPaths>();

/** Small plan view of a spot, north up: depths, boat, cast and mark. @param size Length of a side, px. */
export function planSketch(
  session: Session,
  bottom: Bottom | undefined,
  spot: FishingSpot,
  side: SpotSide,
  size: number,
): HTMLCanvasElement {
  const pixels = Math.min(3, devicePixelRatio || 1);
  const sketch = element('canvas', {
    width: Math.round(size * pixels),
    height: Math.round(size * pixels),
    role: 'img',
    'aria-label': `Plan view of ${spot.name}, north up: the boat, the cast and the mark.`,
    class: 'sketch',
  });
  sketch.style.width = sketch.style.height = `${size}px`;
  const canvas = sketch.getContext('2d');
  if (canvas === null) return sketch;
  const theme = themeNow();
  const ends = [spot, side, ...(side.landing === undefined ? [] : [side.landing])];
  const middle = {
    lat: (Math.min(...ends.map(({ lat }) => lat)) + Math.max(...ends.map(({ lat }) => lat))) / 2,
    lon: (Math.min(...ends.map(({ lon }) => lon)) + Math.max(...ends.map(({ lon }) => lon))) / 2,
  };
  const frame = bottom?.frame ?? localFrame(spot.lat, spot.lon);
  const [east, north] = frame.toLocal(middle.lat, middle.lon);
  const local = ends.map(({ lat, lon }) => frame.toLocal(lat, lon));
  const reach = Math.max(
    MIN_REACH,
    ...local.map(([e, n]) => 14 + Math.max(Math.abs(e - east), Math.abs(n - north))),
  );
  const scale = size / (2 * reach);
  const toPixels = (e: number, s: number): [number, number] => [
    (e - east + reach) * scale,
    (s + north + reach) * scale,
  ];
  canvas.setTransform(pixels, 0, 0, pixels, 0, 0);
  fillBlank(canvas, theme, size, size);
  const [mark, boat, landing] = local.map(([e, n]) => toPixels(e, -n));
  if (bottom !== undefined) {
    const key = `${spot.name} ${side.side}`;
    const ground = grounds.get(key) ?? bottom.ground({ ...middle, reach });
    grounds.set(key, ground);
    const all = scale * pixels;
    canvas.setTransform(all, 0, 0, all, (reach - east) * all, (reach + north) * all);
    for (const draw of groundSteps(ground, theme, scale)) draw(canvas);
    canvas.setTransform(pixels, 0, 0, pixels, 0, 0);
    const taken = [mark, boat, awayFrom(boat, mark), awayFrom(mark, boat), ...pointsAlong(boat, landing)];
    labelGround(canvas, ground, session.data.units, theme, toPixels, taken, [size, size]);
  }
  canvas.setTransform(pixels, 0, 0, pixels, 0, 0);
  const { ink, paper, route } = INKS[theme];
  // The cast is a line from the boat to its landing, the mark a ring.
  const cast = [
    [paper, 7],
    [route, 3],
  ] as const;
  if (landing !== undefined) strokeLine(canvas, [boat, landing], cast);
  drawDot(canvas, boat, 7, ink, paper);
  drawDot(canvas, mark, 6, paper, route);
  canvas.font = '700 14px system-ui,sans-serif';
  haloText(canvas, 'boat', ...awayFrom(boat, mark), theme);
  haloText(canvas, 'mark', ...awayFrom(mark, boat), theme, route);
  haloText(canvas, 'N \u2191', 16, 12, theme);
  return sketch;
}

type Point = readonly [x: number, y: number];

/** Where to write the label of a dot: on the side away from the other point. */
const awayFrom = ([x, y]: Point, other: Point): [x: number, y: number] => [x, y + (y > other[1] ? 16 : -16)];

/** Points along the cast, so close that no label between them would touch it. */
const pointsAlong = ([x, y]: Point, landing: Point = [x, y]): [x: number, y: number][] =>
  [0.25, 0.5, 0.75, 1].map((share) => [x + share * (landing[0] - x), y + share * (landing[1] - y)]);
