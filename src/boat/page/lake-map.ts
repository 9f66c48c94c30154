import { extent, least } from 'd3-array';
import { select } from 'd3-selection';
import { type ZoomTransform, zoom, zoomIdentity } from 'd3-zoom';
import type { Point } from './ground.ts';
import { spotsAndRamp } from './map-layers.ts';
import { MapPicture } from './map-picture.ts';
import type { Degrees } from './position.ts';
import type { Session } from './session.ts';

/** Margin shown around the spots and the ramp, m. */
const MARGIN = 60;
/** Maximum distance between a tap and the spot that the tap selects, px. */
const FINGER = 26;

export class BoatMap {
  private readonly session: Session;
  private readonly window: HTMLElement;
  private readonly picture: MapPicture;
  private transform = zoomIdentity;
  private readonly behavior = zoom<HTMLElement, unknown>();
  private isFitted = false;
  private isMoving = false;
  private frameRequest = 0;
  private hasNewMarks = true;

  /** @param onTap Receives the tapped place, and the spot there if any. */
  constructor(
    session: Session,
    window: HTMLElement,
    onTap: (spot: string | undefined, place: Degrees) => void,
  ) {
    this.session = session;
    this.window = window;
    this.picture = new MapPicture(session);
    window.append(...this.picture.parts);
    this.behavior
      .scaleExtent([0.005, 12])
      .on('start', () => {
        this.isMoving = true;
      })
      .on('zoom', ({ transform }: { transform: ZoomTransform }) => {
        this.transform = transform;
        this.request();
      })
      .on('end', () => {
        this.isMoving = false;
        this.request();
      });
    select(window).call(this.behavior).on('dblclick.zoom', null);
    window.addEventListener('click', ({ offsetX, offsetY }) => {
      const place = session.degrees(this.transform.invert([offsetX, offsetY]));
      onTap(this.spotAt([offsetX, offsetY]), place);
    });
    new ResizeObserver(() => this.resize()).observe(window);
  }

  private resize(): void {
    const { clientWidth, clientHeight } = this.window;
    if (clientWidth === 0 || clientHeight === 0) return;
    this.picture.resize([clientWidth, clientHeight]);
    if (!this.isFitted) this.showAll();
    this.redraw();
  }

  showAll(): void {
    const points = spotsAndRamp(this.session).map((place) => this.session.meters(place));
    if (points.length === 0) return;
    this.isFitted = true;
    const { clientWidth, clientHeight } = this.window;
    const [[left, right], [top, low]] = [0, 1].map((axis) => extent(points, (point) => point[axis]) as Point);
    const scale = Math.min(
      clientWidth / (right - left + 2 * MARGIN),
      clientHeight / (low - top + 2 * MARGIN),
    );
    this.moveTo([(left + right) / 2, (top + low) / 2], scale);
  }

  /** Centers a place, zoomed in far enough to see the boat move. */
  showPlace(place: Degrees): void {
    this.moveTo(this.session.meters(place), Math.max(this.transform.k, 0.8));
  }

  private moveTo([east, south]: Point, scale: number): void {
    const { clientWidth, clientHeight } = this.window;
    const to = zoomIdentity
      .translate(clientWidth / 2, clientHeight / 2)
      .scale(scale)
      .translate(-east, -south);
    select(this.window).call(this.behavior.transform, to);
  }

  private spotAt([x, y]: Point): string | undefined {
    const spots = this.session.planner.spots.map((spot) => {
      const [spotX, spotY] = this.transform.apply(this.session.meters(spot));
      return { name: spot.name, away: Math.hypot(spotX - x, spotY - y) };
    });
    const near = least(spots, ({ away }) => away);
    return near !== undefined && near.away <= FINGER ? near.name : undefined;
  }

  /** Redraws the map at the next animation frame, including what changes through the day. */
  redraw(): void {
    this.hasNewMarks = true;
    this.request();
  }

  private request(): void {
    if (this.frameRequest !== 0) return;
    this.frameRequest = requestAnimationFrame(() => {
      this.frameRequest = 0;
      if (this.window.clientWidth === 0) return;
      const isDrawing = this.picture.show(this.transform, !this.isMoving);
      if (this.hasNewMarks) this.picture.drawMarks();
      this.hasNewMarks = false;
      if (isDrawing) this.request();
    });
  }
}
