import { extent } from 'd3-array';
import { type ZoomTransform, zoomIdentity } from 'd3-zoom';
import type { Theme } from '../colors.ts';
import { element } from './dom.ts';
import type { GroundPaths, Point } from './ground.ts';
import { drawBar, drawBoat, drawRoute, drawSpots, drawZones, labelZones, placesShown } from './map-layers.ts';
import { type Size, themeNow } from './map-sheet.ts';
import { PictureLayer } from './picture-layer.ts';
import type { Session } from './session.ts';

/** Distance by which a picture extends beyond each side of the window, in window sizes. */
const AHEAD = 0.5;
/**
 * Minimum distance from the window to a picture's edge, in window sizes. Nearer the edge, the next picture is
 * begun.
 */
const NEAR_END = 0.25;
/** Time per animation frame spent on the next picture, ms. */
const SLICE = 4;
/** Size of the corner that holds the scale bar, px. */
const BAR = [150, 40] as const;

interface Drawn {
  readonly view: ZoomTransform;
  readonly theme: Theme;
}

/**
 * The lake drawn as pictures that extend beyond the window: the ground and, above the ground, a layer for
 * what changes through the day. Panning and zooming only transform the pictures, which is quick even on a
 * slow phone. Pictures for the next view are drawn in short steps, a few per frame, so that panning does not
 * stall.
 */
export class MapPicture {
  readonly parts: readonly HTMLElement[];
  private readonly session: Session;
  private readonly ground = new PictureLayer();
  private readonly marks = new PictureLayer();
  private readonly bar = new PictureLayer({ class: 'bar' });
  private readonly moved = element('div', { class: 'moved' }, this.ground.shown, this.marks.shown);
  private readonly paths: GroundPaths | undefined;
  /** Range of the coordinates of lake, spots, ramp, zones and shoreline, m: first east, then south. */
  private readonly ends: readonly (readonly [least: number, greatest: number])[];
  private size: Size = [0, 0];
  private drawn: Drawn | undefined;
  private coming: (Drawn & { readonly steps: (() => void)[] }) | undefined;

  constructor(session: Session) {
    this.session = session;
    this.parts = [this.moved, this.bar.shown];
    this.paths = session.bottom?.ground();
    const places = placesShown(session).map((place) => session.meters(place));
    const points = [...(session.bottom?.corners() ?? []), ...places];
    this.ends = [0, 1].map((axis) => extent(points, (point) => point[axis]) as [number, number]);
  }

  /** @param size Size of the window, px. */
  resize(size: Size): void {
    this.size = size;
    this.drawn = this.coming = undefined;
    const [left, top] = this.times(AHEAD);
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

  /** Tells whether the map rests at a new scale, or nears an edge of the picture with more to show beyond. */
  private isNextWanted(view: ZoomTransform, isAtRest: boolean): boolean {
    const { view: drawn } = this.drawn!;
    if (drawn.k !== view.k) return isAtRest;
    const boat = this.session.position.now;
    const here = boat && this.session.meters(boat);
    return (['x', 'y'] as const).some((side, axis) => {
      const [size, near] = [this.size[axis], NEAR_END * this.size[axis]];
      const shown = here === undefined ? this.ends[axis] : [...this.ends[axis], here[axis]];
      const lake = shown.map((place) => place * view.k + view[side]);
      const start = view[side] - drawn[side] - AHEAD * size;
      const end = start + this.whole[axis];
      return (start > -near && Math.min(...lake) < start) || (end < size + near && Math.max(...lake) > end);
    });
  }

  /** Draws what changes through the day, over the ground and in the same view. */
  drawMarks(): void {
    if (this.drawn === undefined) return;
    if (this.drawn.theme !== themeNow()) this.drawAll(this.drawn.view);
    this.drawMarksOf(this.drawn.view);
    this.marks.present();
  }

  private drawAll(view: ZoomTransform): void {
    this.begin(view);
    this.proceed(Infinity);
  }

  private begin(view: ZoomTransform): void {
    const steps = [...this.groundStepsOf(view), () => this.drawMarksOf(view)];
    this.coming = { view, theme: themeNow(), steps };
  }

  /** Continues the next picture, and shows it once it is done. @param budget Time to spend, ms. */
  private proceed(budget: number): void {
    const { steps, ...drawn } = this.coming!;
    const until = performance.now() + budget;
    do steps.shift()?.();
    while (steps.length > 0 && performance.now() < until);
    if (steps.length > 0) return;
    this.coming = undefined;
    this.drawn = drawn;
    drawBar(this.bar.begin(BAR, drawn.view), this.session);
    for (const layer of [this.ground, this.marks, this.bar]) layer.present();
  }

  private times(factor: number): Point {
    return [factor * this.size[0], factor * this.size[1]];
  }

  /** Size of a picture, px. */
  private get whole(): Size {
    return this.times(1 + 2 * AHEAD);
  }

  private begun(layer: PictureLayer, { k, x, y }: ZoomTransform) {
    const [left, top] = this.times(AHEAD);
    return layer.begin(this.whole, zoomIdentity.translate(x + left, y + top).scale(k));
  }

  private drawMarksOf(view: ZoomTransform): void {
    const sheet = this.begun(this.marks, view);
    drawRoute(sheet, this.session);
    drawSpots(sheet, this.session);
    drawBoat(sheet, this.session);
    this.marks.catchUp();
  }

  private groundStepsOf(view: ZoomTransform): (() => void)[] {
    const { paths, session } = this;
    const sheet = this.begun(this.ground, view);
    sheet.fillBlank();
    const label = (): void => {
      sheet.inPixels();
      const taken = session.planner.spots.flatMap((spot): Point[] => {
        const [x, y] = sheet.pixels(session.meters(spot));
        return [0, 16].map((up) => [x, y - up]);
      });
      if (paths !== undefined) sheet.labelGround(paths, session.data.units, taken);
      labelZones(sheet, session);
    };
    const steps = [
      () => sheet.inMeters(),
      ...(paths === undefined ? [] : sheet.groundSteps(paths)),
      () => drawZones(sheet, session),
      label,
    ];
    return steps.map((draw) => () => {
      draw();
      this.ground.catchUp();
    });
  }
}
