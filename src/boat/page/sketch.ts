import { extent } from 'd3-array';
import { zoomIdentity } from 'd3-zoom';
import type { FishingSpot, SpotSide } from '../../../shared/day/index.ts';
import { element } from './dom.ts';
import type { Point } from './ground.ts';
import { MapSheet } from './map-sheet.ts';
import type { Session } from './session.ts';

/** Minimum distance from the center to the edge of the sketch, m. */
const MIN_REACH = 34;
/** Margin beyond boat, mark and landing, m. */
const MARGIN = 14;

/** Draws a small plan view of a spot, north up: depths, boat, cast and mark. @param size Side, px. */
export function planSketch(
  session: Session,
  spot: FishingSpot,
  side: SpotSide,
  size: number,
): HTMLCanvasElement {
  const ratio = Math.min(3, devicePixelRatio || 1);
  const sketch = element('canvas', {
    width: Math.round(size * ratio),
    height: Math.round(size * ratio),
    role: 'img',
    'aria-label': `Plan view of ${spot.name}, north up: the boat, the cast and the mark.`,
    class: 'sketch',
  });
  sketch.style.width = sketch.style.height = `${size}px`;
  const canvas = sketch.getContext('2d');
  if (canvas === null) return sketch;
  const { bottom, data } = session;
  const ends = [spot, side, ...(side.landing === undefined ? [] : [side.landing])].map((place) =>
    session.meters(place),
  );
  const [[west, east], [top, low]] = [0, 1].map((axis) => extent(ends, (end) => end[axis]) as Point);
  const middle: Point = [(west + east) / 2, (top + low) / 2];
  const reach = Math.max(MIN_REACH, MARGIN + (east - west) / 2, MARGIN + (low - top) / 2);
  const view = zoomIdentity
    .translate(size / 2, size / 2)
    .scale(size / (2 * reach))
    .translate(-middle[0], -middle[1]);
  const sheet = new MapSheet(canvas, [size, size], view, ratio);
  sheet.fillBlank();
  const [mark, boat, landing] = ends.map((end) => sheet.pixels(end));
  if (bottom !== undefined) {
    const ground = bottom.ground({ middle, reach });
    sheet.inMeters();
    for (const draw of sheet.groundSteps(ground)) draw();
    sheet.inPixels();
    const taken = [mark, boat, awayFrom(boat, mark), awayFrom(mark, boat), ...pointsAlong(boat, landing)];
    sheet.labelGround(ground, data.units, taken);
  }
  const { ink, paper, route } = sheet.inks;
  const cast = [
    [paper, 7],
    [route, 3],
  ] as const;
  if (landing !== undefined) sheet.line([boat, landing], cast);
  sheet.dot(boat, 7, ink, paper);
  sheet.dot(mark, 6, paper, route);
  canvas.font = '700 14px system-ui,sans-serif';
  sheet.text('boat', awayFrom(boat, mark));
  sheet.text('mark', awayFrom(mark, boat), route);
  sheet.text('N \u2191', [16, 12]);
  return sketch;
}

const awayFrom = ([x, y]: Point, other: Point): Point => [x, y + (y > other[1] ? 16 : -16)];

/** Returns points along the cast that labels must avoid, so close that no label fits between them. */
const pointsAlong = ([x, y]: Point, landing: Point = [x, y]): Point[] =>
  [0.25, 0.5, 0.75, 1].map((share) => [x + share * (landing[0] - x), y + share * (landing[1] - y)]);
