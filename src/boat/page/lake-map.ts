import { select } from 'd3-selection';
import { type ZoomTransform, zoom, zoomIdentity } from 'd3-zoom';
import { type LocalFrame, localFrame } from '../../../shared/geo/index.ts';
import { INKS } from '../colors.ts';
import { drawGround, fillBlank, labelGround } from './draw-ground.ts';
import type { Bottom, GroundPaths } from './ground.ts';
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

/** m shown beyond the outermost spot. */
const MARGIN = 60;
/** px from a spot within which a finger means it. */
const FINGER = 26;
/** How much more than the screen is drawn in advance, a side, in screens. */
const AHEAD = 0.5;

/** The lake on a canvas, to pan and to pinch: the ground is drawn when the fingers rest, and moved as a picture before. */
export class BoatMap {
  readonly canvas: HTMLCanvasElement;
  track: Degrees[] = [];
  private readonly session: Session;
  private readonly frame: LocalFrame;
  private readonly ground: GroundPaths | undefined;
  private readonly picture = document.createElement('canvas');
  private drawnAt: ZoomTransform | undefined;
  private transform = zoomIdentity;
  private width = 1;
  private height = 1;
  private readonly behavior = zoom<HTMLCanvasElement, unknown>();
  private isFitted = false;
  private frameRequest = 0;

  /** @param onTap Takes the spot that was tapped, if any, and the place. */
  constructor(
    session: Session,
    bottom: Bottom | undefined,
    canvas: HTMLCanvasElement,
    onTap: (spot: string | undefined, place: Degrees) => void,
  ) {
    this.session = session;
    this.canvas = canvas;
    const [first] = session.data.waypoints;
    this.frame = bottom?.frame ?? localFrame(first?.waypoint.lat ?? 0, first?.waypoint.lon ?? 0);
    this.ground = bottom?.ground();
    this.behavior
      .scaleExtent([0.005, 12])
      .on('zoom', ({ transform }: { transform: ZoomTransform }) => {
        this.transform = transform;
        this.redraw();
      })
      .on('end', () => this.redraw(true));
    select(canvas).call(this.behavior).on('dblclick.zoom', null);
    canvas.addEventListener('click', ({ offsetX, offsetY }) => {
      const [east, south] = this.transform.invert([offsetX, offsetY]);
      const [lat, lon] = this.frame.toGeographic(east, -south);
      onTap(this.spotAt(offsetX, offsetY), { lat, lon });
    });
    new ResizeObserver(() => this.resize()).observe(canvas);
  }

  /** m east and south of a place, and its pixels. */
  private meters({ lat, lon }: Degrees): Point {
    const [east, north] = this.frame.toLocal(lat, lon);
    return [east, -north];
  }

  private pixels(place: Degrees): Point {
    return this.transform.apply(this.meters(place)) as Point;
  }

  private get sheet(): Omit<MapSheet, 'canvas' | 'theme'> {
    return {
      session: this.session,
      scale: this.transform.k,
      size: [this.width, this.height],
      meters: (place) => this.meters(place),
      pixels: (place) => this.pixels(place),
    };
  }

  private resize(): void {
    const { clientWidth, clientHeight } = this.canvas;
    if (clientWidth === 0 || clientHeight === 0) return;
    [this.width, this.height] = [clientWidth, clientHeight];
    this.canvas.width = Math.round(clientWidth * this.ratio);
    this.canvas.height = Math.round(clientHeight * this.ratio);
    if (!this.isFitted) this.showAll();
    this.redraw(true);
  }

  private readonly ratio = Math.min(2, devicePixelRatio || 1);

  /** All spots and the ramp on the screen. */
  showAll(): void {
    const { planner, data } = this.session;
    const places: Degrees[] = [...planner.spots, ...(data.plan === undefined ? [] : [data.plan.ramp])];
    if (places.length === 0) return;
    this.isFitted = true;
    const points = places.map((place) => this.meters(place));
    const [left, right] = [Math.min(...points.map(([x]) => x)), Math.max(...points.map(([x]) => x))];
    const [top, low] = [Math.min(...points.map(([, y]) => y)), Math.max(...points.map(([, y]) => y))];
    const scale = Math.min(this.width / (right - left + 2 * MARGIN), this.height / (low - top + 2 * MARGIN));
    this.moveTo((left + right) / 2, (top + low) / 2, scale);
  }

  /** A place in the middle, near enough to see the boat move. */
  showPlace(place: Degrees): void {
    this.moveTo(...this.meters(place), Math.max(this.transform.k, 0.8));
  }

  private moveTo(east: number, south: number, scale: number): void {
    const to = zoomIdentity
      .translate(this.width / 2, this.height / 2)
      .scale(scale)
      .translate(-east, -south);
    select(this.canvas).call(this.behavior.transform, to);
  }

  private spotAt(x: number, y: number): string | undefined {
    const near = this.session.planner.spots
      .map((spot) => ({
        name: spot.name,
        away: Math.hypot(this.pixels(spot)[0] - x, this.pixels(spot)[1] - y),
      }))
      .sort((a, b) => a.away - b.away)[0];
    return near !== undefined && near.away <= FINGER ? near.name : undefined;
  }

  /** Draws at the next frame. @param isAtRest The ground is drawn anew for this place and scale. */
  redraw(isAtRest = false): void {
    if (isAtRest) this.drawnAt = undefined;
    if (this.frameRequest !== 0) return;
    this.frameRequest = requestAnimationFrame(() => {
      this.frameRequest = 0;
      this.draw();
    });
  }

  private draw(): void {
    const canvas = this.canvas.getContext('2d');
    if (canvas === null || this.canvas.clientWidth === 0) return;
    const theme = themeNow();
    if (this.drawnAt === undefined) this.drawPicture();
    const { drawnAt = this.transform, transform } = this;
    const by = transform.k / drawnAt.k;
    const [ahead, below] = [AHEAD * this.width, AHEAD * this.height];
    canvas.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    canvas.fillStyle = INKS[theme].blank;
    canvas.fillRect(0, 0, this.width, this.height);
    canvas.drawImage(
      this.picture,
      transform.x - (drawnAt.x + ahead) * by,
      transform.y - (drawnAt.y + below) * by,
      (this.width + 2 * ahead) * by,
      (this.height + 2 * below) * by,
    );
    const sheet = { ...this.sheet, canvas, theme };
    drawRoute(sheet, this.track);
    drawSpots(sheet);
    drawOwn(sheet);
    drawBar(sheet);
  }

  /** Ground, zones and shore as a picture that reaches beyond the screen. */
  private drawPicture(): void {
    const { picture, ratio, transform, width, height } = this;
    const [wide, high] = [width * (1 + 2 * AHEAD), height * (1 + 2 * AHEAD)];
    picture.width = Math.round(wide * ratio);
    picture.height = Math.round(high * ratio);
    const canvas = picture.getContext('2d');
    if (canvas === null) return;
    const theme = themeNow();
    const [x, y] = [transform.x + AHEAD * width, transform.y + AHEAD * height];
    const toPixels = (east: number, south: number): Point => [
      east * transform.k + x,
      south * transform.k + y,
    ];
    canvas.setTransform(ratio, 0, 0, ratio, 0, 0);
    fillBlank(canvas, theme, wide, high);
    canvas.setTransform(ratio * transform.k, 0, 0, ratio * transform.k, x * ratio, y * ratio);
    if (this.ground !== undefined) drawGround(canvas, this.ground, theme, transform.k);
    drawZones({ ...this.sheet, canvas, theme });
    canvas.setTransform(ratio, 0, 0, ratio, 0, 0);
    const taken = this.session.planner.spots.flatMap((spot): Point[] => {
      const [spotX, spotY] = toPixels(...this.meters(spot));
      return [
        [spotX, spotY],
        [spotX, spotY - 16],
      ];
    });
    if (this.ground !== undefined)
      labelGround(canvas, this.ground, this.session.data.units, theme, toPixels, taken, [wide, high]);
    labelZones({ ...this.sheet, canvas, theme }, toPixels);
    this.drawnAt = transform;
  }
}
