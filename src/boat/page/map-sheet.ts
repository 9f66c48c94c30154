import type { ZoomTransform } from 'd3-zoom';
import { type DisplayUnits, withoutTurns } from '../../../shared/contract/index.ts';
import { depthNumber } from '../../../shared/text/index.ts';
import { INKS, type Theme, TINTS } from '../colors.ts';
import type { GroundPaths, Point } from './ground.ts';

export const themeNow = (): Theme => (matchMedia('(prefers-color-scheme: dark)').matches ? 'dark' : 'light');

type Drawing = CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D;
export type Size = readonly [wide: number, high: number];

/** Horizontal distance between hatch lines, px. */
const HATCH = 9;

/** A picture of the lake being drawn, north up, in CSS pixels unless said otherwise. */
export class MapSheet {
  readonly canvas: Drawing;
  readonly theme = themeNow();
  readonly inks = INKS[this.theme];
  readonly size: Size;
  /** Transformation from m east and south to CSS pixels. */
  readonly view: ZoomTransform;
  /** Pixels of the canvas per CSS pixel. */
  private readonly ratio: number;

  constructor(canvas: Drawing, size: Size, view: ZoomTransform, ratio: number) {
    this.canvas = canvas;
    this.size = size;
    this.view = view;
    this.ratio = ratio;
    this.inPixels();
  }

  inPixels(): void {
    this.canvas.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
  }

  /** Switches the canvas to m east and south. */
  inMeters(): void {
    const { k, x, y } = this.view;
    this.canvas.setTransform(this.ratio * k, 0, 0, this.ratio * k, this.ratio * x, this.ratio * y);
  }

  pixels(point: Point): Point {
    return this.view.apply(point);
  }

  /** Fills the sheet with the hatched background that marks unsounded water. */
  fillBlank(): void {
    const { canvas, inks } = this;
    const [wide, high] = this.size;
    canvas.fillStyle = inks.blank;
    canvas.fillRect(0, 0, wide, high);
    canvas.strokeStyle = inks.hatch;
    canvas.lineWidth = 1;
    canvas.beginPath();
    for (let x = -high; x < wide; x += HATCH) {
      canvas.moveTo(x, high);
      canvas.lineTo(x + high, 0);
    }
    canvas.stroke();
  }

  /** Lists short steps that draw tints, isobaths and outline; run them in order on a sheet in meters. */
  groundSteps({ sounded, shallows, isobaths }: GroundPaths): (() => void)[] {
    const { canvas, inks, view } = this;
    const tints = TINTS[this.theme];
    const stroke = (path: Path2D, width: number) => () => {
      canvas.strokeStyle = inks.ink;
      canvas.lineWidth = width / view.k;
      canvas.stroke(path);
    };
    return [
      ...[shallows, ...isobaths.map(({ band }) => band)].map((band, at) => () => {
        canvas.fillStyle = tints[Math.min(tints.length - 1, at)];
        canvas.fill(band, 'evenodd');
      }),
      ...isobaths.map(({ line }) => stroke(line, 1)),
      stroke(sounded, 2),
    ];
  }

  /** Writes depths along the isobaths, away from the taken places and from each other. */
  labelGround({ isobaths }: GroundPaths, units: DisplayUnits, taken: Point[]): void {
    this.canvas.font = '600 13px system-ui,sans-serif';
    const [wide, high] = this.size;
    for (const { depth, labels } of isobaths)
      for (const label of labels) {
        const [x, y] = this.pixels(label);
        if (x < 12 || y < 12 || x > wide - 12 || y > high - 12) continue;
        if (taken.some(([a, b]) => Math.abs(a - x) < 30 && Math.abs(b - y) < 22)) continue;
        taken.push([x, y]);
        this.text(depthNumber(depth, units), [x, y]);
      }
  }

  /** Draws a line once for each stroke, in order. A wide stroke before a narrow stroke makes a halo. */
  line(points: readonly Point[], strokes: readonly (readonly [color: string, width: number])[]): void {
    const { canvas } = this;
    canvas.beginPath();
    for (const point of points) canvas.lineTo(...point);
    for (const [color, width] of strokes) {
      canvas.strokeStyle = color;
      canvas.lineWidth = width;
      canvas.stroke();
    }
  }

  dot(place: Point, radius: number, fill: string, rim: string): void {
    const { canvas } = this;
    canvas.beginPath();
    canvas.arc(...place, radius, 0, 2 * Math.PI);
    canvas.fillStyle = fill;
    canvas.fill();
    canvas.lineWidth = 3;
    canvas.strokeStyle = rim;
    canvas.stroke();
  }

  /** Draws text with a halo, so that it is readable on any tint. */
  text(text: string, place: Point, ink: string = this.inks.ink): void {
    const { canvas } = this;
    canvas.textAlign = 'center';
    canvas.textBaseline = 'middle';
    canvas.lineJoin = 'round';
    canvas.lineWidth = 5;
    canvas.strokeStyle = this.inks.paper;
    const shown = withoutTurns(text);
    canvas.strokeText(shown, ...place);
    canvas.fillStyle = ink;
    canvas.fillText(shown, ...place);
  }
}
