import { select } from 'd3-selection';
import { type ZoomTransform, zoom, zoomIdentity } from 'd3-zoom';
import { type LocalFrame, localFrame } from '../../../shared/geo/index.ts';
import type { Bottom } from './ground.ts';
import type { Degrees, Point } from './map-layers.ts';
import { MapPicture } from './map-picture.ts';
import type { Session } from './session.ts';

/** Margin shown around the outermost spots, m. */
const MARGIN = 60;
/** A tap within this many px of a spot selects it. */
const FINGER = 26;

/** The lake map, with panning and pinch zoom. */
export class BoatMap {
  track: Degrees[] = [];
  private readonly session: Session;
  private readonly window: HTMLElement;
  private readonly frame: LocalFrame;
  private readonly picture: MapPicture;
  private transform = zoomIdentity;
  private width = 1;
  private height = 1;
  private readonly behavior = zoom<HTMLElement, unknown>();
  private isFitted = false;
  private isMoving = false;
  private frameRequest = 0;
  private hasNewMarks = true;

  /** @param onTap Receives the tapped place, and the spot there if any. */
  constructor(
    session: Session,
    bottom: Bottom | undefined,
    window: HTMLElement,
    onTap: (spot: string | undefined, place: Degrees) => void,
  ) {
    this.session = session;
    this.window = window;
    const [first] = session.data.waypoints;
    this.frame = bottom?.frame ?? localFrame(first?.waypoint.lat ?? 0, first?.waypoint.lon ?? 0);
    this.picture = new MapPicture({
      session,
      ground: bottom?.ground(),
      corners: bottom?.corners(),
      meters: (place) => this.meters(place),
      track: () => this.track,
    });
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
      const [east, south] = this.transform.invert([offsetX, offsetY]);
      const [lat, lon] = this.frame.toGeographic(east, -south);
      onTap(this.spotAt(offsetX, offsetY), { lat, lon });
    });
    new ResizeObserver(() => this.resize()).observe(window);
  }

  /** A place in m east and south; below, in pixels. */
  private meters({ lat, lon }: Degrees): Point {
    const [east, north] = this.frame.toLocal(lat, lon);
    return [east, -north];
  }

  private pixels(place: Degrees): Point {
    return this.transform.apply(this.meters(place)) as Point;
  }

  private resize(): void {
    const { clientWidth, clientHeight } = this.window;
    if (clientWidth === 0 || clientHeight === 0) return;
    [this.width, this.height] = [clientWidth, clientHeight];
    this.picture.resize([clientWidth, clientHeight]);
    if (!this.isFitted) this.showAll();
    this.redraw();
  }

  /** Fits all spots and the ramp on the screen. */
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

  /** Centers a place, zoomed in far enough to see the boat move. */
  showPlace(place: Degrees): void {
    this.moveTo(...this.meters(place), Math.max(this.transform.k, 0.8));
  }

  private moveTo(east: number, south: number, scale: number): void {
    const to = zoomIdentity
      .translate(this.width / 2, this.height / 2)
      .scale(scale)
      .translate(-east, -south);
    select(this.window).call(this.behavior.transform, to);
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

  /** Redraws at the next frame. */
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
