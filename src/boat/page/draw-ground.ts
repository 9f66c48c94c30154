import { type DisplayUnits, withoutTurns } from '../../../shared/contract/index.ts';
import { depthNumber } from '../../../shared/text/index.ts';
import { depthTints, INKS, type Theme } from '../colors.ts';
import type { GroundPaths } from './ground.ts';

export const themeNow = (): Theme => (matchMedia('(prefers-color-scheme: dark)').matches ? 'dark' : 'light');

/** What is drawn on: a canvas of the page, or one off the screen. */
export type Drawing = CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D;
export type Size = readonly [wide: number, high: number];

/**
 * Steps that draw tints and isobaths, in order, each of them short; the canvas is in m east and south.
 *
 * @param scale CSS pixels per meter.
 */
export function groundSteps(
  { sounded, shallows, isobaths }: GroundPaths,
  theme: Theme,
  scale: number,
): ((canvas: Drawing) => void)[] {
  const tints = depthTints(theme);
  const bands = [shallows, ...isobaths.map(({ band }) => band)];
  const stroke = (path: Path2D, width: number) => (canvas: Drawing) => {
    canvas.strokeStyle = INKS[theme].ink;
    canvas.lineWidth = width / scale;
    canvas.stroke(path);
  };
  return [
    ...bands.map((band, at) => (canvas: Drawing) => {
      canvas.fillStyle = tints[Math.min(tints.length - 1, at)];
      canvas.fill(band, 'evenodd');
    }),
    ...isobaths.map(({ line }) => stroke(line, 1)),
    stroke(sounded, 2),
  ];
}

/** Fills a canvas, in CSS pixels, with the hatched background that marks unsounded water. */
export function fillBlank(canvas: Drawing, theme: Theme, wide: number, high: number): void {
  const { blank, hatch } = INKS[theme];
  canvas.fillStyle = blank;
  canvas.fillRect(0, 0, wide, high);
  canvas.strokeStyle = hatch;
  canvas.lineWidth = 1;
  canvas.beginPath();
  for (let x = -high; x < wide; x += HATCH) {
    canvas.moveTo(x, high);
    canvas.lineTo(x + high, 0);
  }
  canvas.stroke();
}

/** Distance between hatch lines, px. */
const HATCH = 9;

/** Converts m east and south to CSS pixels. */
export type ToPixels = (east: number, south: number) => [x: number, y: number];

/** Writes depths along the isobaths where the labels do not overlap. The canvas is in CSS pixels. */
export function labelGround(
  canvas: Drawing,
  ground: GroundPaths,
  units: DisplayUnits,
  theme: Theme,
  toPixels: ToPixels,
  taken: [x: number, y: number][],
  size: Size,
): void {
  canvas.font = '600 13px system-ui,sans-serif';
  for (const { depth, labels } of ground.isobaths) {
    const text = depthNumber(depth, units);
    for (const label of labels) {
      const [x, y] = toPixels(...label);
      if (x < 12 || y < 12 || x > size[0] - 12 || y > size[1] - 12) continue;
      if (taken.some(([a, b]) => Math.abs(a - x) < 30 && Math.abs(b - y) < 22)) continue;
      taken.push([x, y]);
      haloText(canvas, text, x, y, theme);
    }
  }
}

/** Draws a line of points in CSS pixels: each color and width over the one before, the first as a halo. */
export function strokeLine(
  canvas: Drawing,
  points: readonly (readonly [x: number, y: number])[],
  strokes: readonly (readonly [color: string, width: number])[],
): void {
  canvas.beginPath();
  for (const point of points) canvas.lineTo(...point);
  for (const [color, width] of strokes) {
    canvas.strokeStyle = color;
    canvas.lineWidth = width;
    canvas.stroke();
  }
}

/** Draws a dot with a rim. */
export function drawDot(
  canvas: Drawing,
  [x, y]: readonly [x: number, y: number],
  radius: number,
  fill: string,
  rim: string,
): void {
  canvas.beginPath();
  canvas.arc(x, y, radius, 0, 2 * Math.PI);
  canvas.fillStyle = fill;
  canvas.fill();
  canvas.lineWidth = 3;
  canvas.strokeStyle = rim;
  canvas.stroke();
}

/** Draws text with a halo, so that it is readable on any tint. */
export function haloText(
  canvas: Drawing,
  text: string,
  x: number,
  y: number,
  theme: Theme,
  ink: string = INKS[theme].ink,
): void {
  canvas.textAlign = 'center';
  canvas.textBaseline = 'middle';
  canvas.lineJoin = 'round';
  canvas.lineWidth = 5;
  canvas.strokeStyle = INKS[theme].paper;
  const shown = withoutTurns(text);
  canvas.strokeText(shown, x, y);
  canvas.fillStyle = ink;
  canvas.fillText(shown, x, y);
}
