import type { ZoomTransform } from 'd3-zoom';
import type { Theme } from '../colors.ts';
import { element } from './dom.ts';
import { drawGround, fillBlank, labelGround } from './draw-ground.ts';
import type { GroundPaths } from './ground.ts';
import {
  type Degrees,
  drawBar,
  drawOwn,
  drawRoute,
  drawSpots,
  drawZones,
  labelZones,
  type MapSheet,
  type Point,
} from './map-layers.ts';
import type { Session } from './session.ts';
import { themeNow } from './theme.ts';

/** How far the picture extends beyond each side of the window, in window sizes. */
const AHEAD = 0.5;
/** Size of the corner that holds the scale bar, px. */
const BAR = [150, 40] as const;

/** What the map shows. */
export interface PictureSubject {
  readonly session: Session;
  readonly ground: GroundPaths | undefined;
  readonly meters: (place: Degrees) => Point;
}

/**
 * The lake drawn on canvases that extend beyond the window: the ground, and a layer above it for what changes through
 * the day. They are drawn once for a view; after that, panning and zooming only transform them, which is cheap even on
 * a slow phone.
 */
export class MapPicture {
  /** The layers, to be inserted into the window. */
  readonly parts: readonly HTMLElement[];
  private readonly subject: PictureSubject;
  private readonly ground = element('canvas');
  private readonly marks = element('canvas');
  private readonly bar = element('canvas', { class: 'bar' });
  private readonly moved = element('div', { class: 'moved' }, this.ground, this.marks);
  private readonly ratio = Math.min(2, devicePixelRatio || 1);
  private size: Point = [0, 0];
  private drawn: { readonly view: ZoomTransform; readonly theme: Theme } | undefined;

  constructor(subject: PictureSubject) {
    this.subject = subject;
    this.parts = [this.moved, this.bar];
  }

  /** @param size Size of the window, px. */
  resize(size: Point): void {
    this.size = size;
    this.drawn = undefined;
  }

  /** True when the drawn area covers this view at the scale at which it was drawn. */
  private covers({ x, y }: ZoomTransform): boolean {
    if (this.drawn === undefined) return false;
    const { view } = this.drawn;
    return [x - view.x, y - view.y].every((shift, axis) => Math.abs(shift) <= AHEAD * this.size[axis]);
  }

  /**
   * Shows a view.
   *
   * @param isAtRest True when no finger is moving it; only then is it redrawn at a new scale.
   * @returns True when the ground was redrawn, so that the marks must be redrawn too.
   */
  show(view: ZoomTransform, isAtRest: boolean): boolean {
    const isScaled = this.drawn?.view.k !== view.k;
    const isStale = this.drawn === undefined || (isScaled ? isAtRest : !this.covers(view));
    if (isStale) this.drawAll(view);
    const { view: drawn } = this.drawn!;
    const by = view.k / drawn.k;
    this.moved.style.transform = `translate(${view.x - by * drawn.x}px,${view.y - by * drawn.y}px) scale(${by})`;
    return isStale;
  }

  /** Draws what changes through the day, over the ground and in the same view. */
  drawMarks(track: readonly Degrees[]): void {
    if (this.drawn === undefined) return;
    if (this.drawn.theme !== themeNow()) this.drawAll(this.drawn.view);
    const sheet = this.sheetOf(this.marks);
    if (sheet === undefined) return;
    sheet.canvas.clearRect(0, 0, ...sheet.size);
    drawRoute(sheet, track);
    drawSpots(sheet);
    drawOwn(sheet);
  }

  private drawAll(view: ZoomTransform): void {
    const theme = themeNow();
    this.drawn = { view, theme };
    const [wide, high] = this.size;
    for (const layer of [this.ground, this.marks]) {
      stretch(layer, [wide * (1 + 2 * AHEAD), high * (1 + 2 * AHEAD)], this.ratio);
      layer.style.left = `${-AHEAD * wide}px`;
      layer.style.top = `${-AHEAD * high}px`;
    }
    const sheet = this.sheetOf(this.ground);
    if (sheet !== undefined) this.drawGround(sheet);
    stretch(this.bar, BAR, this.ratio);
    const corner = this.sheetOf(this.bar);
    if (corner !== undefined) drawBar({ ...corner, size: BAR });
  }

  /** A drawing surface for a layer, in CSS pixels. */
  private sheetOf(layer: HTMLCanvasElement): MapSheet | undefined {
    const canvas = layer.getContext('2d');
    if (canvas === null || this.drawn === undefined) return undefined;
    const { view, theme } = this.drawn;
    const { session, meters } = this.subject;
    const [wide, high] = this.size;
    canvas.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    const pixels = (place: Degrees): Point => {
      const [x, y] = view.apply(meters(place) as Point);
      return [x + AHEAD * wide, y + AHEAD * high];
    };
    const size = [wide * (1 + 2 * AHEAD), high * (1 + 2 * AHEAD)] as const;
    return { canvas, theme, session, scale: view.k, size, meters, pixels };
  }

  /** Ground, zones and shore, with their labels. */
  private drawGround(sheet: MapSheet): void {
    const { canvas, theme, scale, size, pixels } = sheet;
    const { ground, session } = this.subject;
    const { view } = this.drawn!;
    const [x, y] = [view.x + AHEAD * this.size[0], view.y + AHEAD * this.size[1]];
    const toPixels = (east: number, south: number): Point => [east * scale + x, south * scale + y];
    fillBlank(canvas, theme, ...size);
    const { ratio } = this;
    canvas.setTransform(ratio * scale, 0, 0, ratio * scale, x * ratio, y * ratio);
    if (ground !== undefined) drawGround(canvas, ground, theme, scale);
    drawZones(sheet);
    canvas.setTransform(ratio, 0, 0, ratio, 0, 0);
    const taken = session.planner.spots.flatMap((spot): Point[] => {
      const [left, top] = pixels(spot);
      return [
        [left, top],
        [left, top - 16],
      ];
    });
    if (ground !== undefined) labelGround(canvas, ground, session.data.units, theme, toPixels, taken, size);
    labelZones(sheet, toPixels);
  }
}

/** Clears a canvas and resizes it to a size in CSS pixels. */
function stretch(canvas: HTMLCanvasElement, [wide, high]: readonly [number, number], ratio: number): void {
  canvas.width = Math.round(wide * ratio);
  canvas.height = Math.round(high * ratio);
  canvas.style.width = `${wide}px`;
  canvas.style.height = `${high}px`;
}
