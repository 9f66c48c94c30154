import type { ZoomTransform } from 'd3-zoom';
import type { Theme } from '../colors.ts';
import { element } from './dom.ts';
import { type Drawing, fillBlank, groundSteps, labelGround, type Size, themeNow } from './draw-ground.ts';
import type { GroundPaths } from './ground.ts';
import {
  type Degrees,
  drawBar,
  drawBoat,
  drawRoute,
  drawSpots,
  drawZones,
  labelZones,
  type MapSheet,
  type Point,
  placesShown,
} from './map-layers.ts';
import { PictureLayer } from './picture-layer.ts';
import type { Session } from './session.ts';

/** How far a picture extends beyond each side of the window, in window sizes. */
const AHEAD = 0.5;
/** Distance from the window to an edge of the picture at which the next picture is begun, in window sizes. */
const NEAR_END = 0.25;
/** Time of each frame that is spent on the next picture, ms. */
const SLICE = 4;
/** Size of the corner that holds the scale bar, px. */
const BAR = [150, 40] as const;

/** What the map shows. */
export interface PictureSubject {
  readonly session: Session;
  readonly ground: GroundPaths | undefined;
  /** Corners of the ground, m east and south. */
  readonly corners: readonly Point[] | undefined;
  readonly meters: (place: Degrees) => Point;
  readonly track: () => readonly Degrees[];
}

interface Drawn {
  readonly view: ZoomTransform;
  readonly theme: Theme;
}

/**
 * The lake drawn as pictures that extend beyond the window: the ground, and a layer above it for what changes through
 * the day. They are drawn once for a view; after that, panning and zooming only transform them, which is cheap even on a
 * slow phone. Pictures for the next view are drawn in short steps between frames, so that panning never stalls.
 */
export class MapPicture {
  /** The layers, to be inserted into the window. */
  readonly parts: readonly HTMLElement[];
  private readonly subject: PictureSubject;
  private readonly ground = new PictureLayer();
  private readonly marks = new PictureLayer();
  private readonly bar = new PictureLayer({ class: 'bar' });
  private readonly moved = element('div', { class: 'moved' }, this.ground.shown, this.marks.shown);
  private readonly ratio = Math.min(2, devicePixelRatio || 1);
  /** Two corners of the box that holds everything drawn, m east and south. */
  private readonly ends: readonly Point[];
  private size: Point = [0, 0];
  private drawn: Drawn | undefined;
  /** The picture being drawn, and the steps left. */
  private coming: (Drawn & { readonly steps: (() => void)[] }) | undefined;

  constructor(subject: PictureSubject) {
    this.subject = subject;
    this.parts = [this.moved, this.bar.shown];
    const places = placesShown(subject.session).map(subject.meters);
    this.ends = cornersOf([...(subject.corners ?? []), ...places]);
  }

  /** @param size Size of the window, px. */
  resize(size: Point): void {
    this.size = size;
    this.drawn = this.coming = undefined;
    const [left, top] = this.ahead;
    for (const { shown } of [this.ground, this.marks])
      Object.assign(shown.style, { left: `${-left}px`, top: `${-top}px` });
  }

  /**
   * Shows a view.
   *
   * @returns True when a picture is being drawn, which takes more frames.
   */
  show(view: ZoomTransform, isAtRest: boolean): boolean {
    if (this.size[0] === 0) return false;
    if (this.drawn === undefined) this.drawAll(view);
    if (this.coming !== undefined) this.proceed(SLICE);
    if (this.coming === undefined && this.isNextWanted(view, isAtRest)) this.begin(view);
    const { view: drawn } = this.drawn!;
    const by = view.k / drawn.k;
    this.moved.style.transform = `translate(${view.x - by * drawn.x}px,${view.y - by * drawn.y}px) scale(${by})`;
    return this.coming !== undefined;
  }

  /** True at a new scale, and where the window comes near an edge of the picture beyond which there is more lake. */
  private isNextWanted(view: ZoomTransform, isAtRest: boolean): boolean {
    const { view: drawn } = this.drawn!;
    if (drawn.k !== view.k) return isAtRest;
    const boat = this.subject.session.position.now;
    const places = [...this.ends, ...(boat === undefined ? [] : [this.subject.meters(boat)])];
    return (['x', 'y'] as const).some((side, axis) => {
      const [size, near] = [this.size[axis], NEAR_END * this.size[axis]];
      const lake = places.map((place) => place[axis] * view.k + view[side]);
      const start = view[side] - drawn[side] - this.ahead[axis];
      const end = start + this.whole[axis];
      return (start > -near && Math.min(...lake) < start) || (end < size + near && Math.max(...lake) > end);
    });
  }

  /** Draws what changes through the day, over the ground and in the same view. */
  drawMarks(): void {
    if (this.drawn === undefined) return;
    if (this.drawn.theme !== themeNow()) this.drawAll(this.drawn.view);
    this.drawMarksOf(this.drawn);
    this.marks.present(this.whole);
  }

  private drawAll(view: ZoomTransform): void {
    this.begin(view);
    this.proceed(Infinity);
  }

  private begin(view: ZoomTransform): void {
    const drawn = { view, theme: themeNow() };
    this.coming = { ...drawn, steps: [...this.groundStepsOf(drawn), () => this.drawMarksOf(drawn)] };
  }

  /** Continues the next picture for some ms, and shows it once it is done. */
  private proceed(budget: number): void {
    const { steps, ...drawn } = this.coming!;
    const until = performance.now() + budget;
    do steps.shift()?.();
    while (steps.length > 0 && performance.now() < until);
    if (steps.length > 0) return;
    this.coming = undefined;
    this.drawn = drawn;
    for (const layer of [this.ground, this.marks]) layer.present(this.whole);
    drawBar(this.sheetOf(this.bar.begin(BAR, this.ratio), BAR, drawn));
    this.bar.present(BAR);
  }

  /** How far a picture extends beyond the window to the left and above, px. */
  private get ahead(): Size {
    const [wide, high] = this.size;
    return [AHEAD * wide, AHEAD * high];
  }

  /** Size of a picture, px. */
  private get whole(): Size {
    const [wide, high] = this.size;
    return [wide * (1 + 2 * AHEAD), high * (1 + 2 * AHEAD)];
  }

  /** A drawing surface in CSS pixels. */
  private sheetOf(canvas: Drawing, size: Size, { view, theme }: Drawn): MapSheet {
    const { session, meters } = this.subject;
    const [left, top] = this.ahead;
    const pixels = (place: Degrees): Point => {
      const [x, y] = view.apply(meters(place) as Point);
      return [x + left, y + top];
    };
    return { canvas, theme, session, scale: view.k, size, meters, pixels };
  }

  private drawMarksOf(drawn: Drawn): void {
    const sheet = this.sheetOf(this.marks.begin(this.whole, this.ratio), this.whole, drawn);
    drawRoute(sheet, this.subject.track());
    drawSpots(sheet);
    drawBoat(sheet);
    this.marks.catchUp();
  }

  /** Ground, zones and shore, with their labels. */
  private groundStepsOf(drawn: Drawn): (() => void)[] {
    const { ground, session } = this.subject;
    const { ratio } = this;
    const { view, theme } = drawn;
    const [left, top] = this.ahead;
    const [x, y, scale] = [view.x + left, view.y + top, view.k];
    const toPixels = (east: number, south: number): Point => [east * scale + x, south * scale + y];
    let sheet: MapSheet;
    const steps = [
      () => {
        sheet = this.sheetOf(this.ground.begin(this.whole, ratio), this.whole, drawn);
        fillBlank(sheet.canvas, theme, ...sheet.size);
        sheet.canvas.setTransform(ratio * scale, 0, 0, ratio * scale, x * ratio, y * ratio);
      },
      ...(ground === undefined ? [] : groundSteps(ground, theme, scale)).map(
        (draw) => () => draw(sheet.canvas),
      ),
      () => drawZones(sheet),
      () => {
        sheet.canvas.setTransform(ratio, 0, 0, ratio, 0, 0);
        const taken = session.planner.spots.flatMap((spot): Point[] => {
          const [across, down] = sheet.pixels(spot);
          return [
            [across, down],
            [across, down - 16],
          ];
        });
        const { canvas, size } = sheet;
        const { units } = session.data;
        if (ground !== undefined) labelGround(canvas, ground, units, theme, toPixels, taken, size);
        labelZones(sheet, toPixels);
      },
    ];
    return steps.map((draw) => () => {
      draw();
      this.ground.catchUp();
    });
  }
}

/** Two opposite corners of the box around some points; empty without points. */
function cornersOf(points: readonly Point[]): Point[] {
  if (points.length === 0) return [];
  return [Math.min, Math.max].map((most): Point => {
    const at = (axis: 0 | 1): number =>
      points.reduce((end, point) => most(end, point[axis]), points[0][axis]);
    return [at(0), at(1)];
  });
}
