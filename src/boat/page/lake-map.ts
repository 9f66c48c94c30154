import { select } from 'd3-selection';
import { type ZoomTransform, zoom, zoomIdentity } from 'd3-zoom';
import { isDrawn } from '../../../shared/day/index.ts';
import { type LocalFrame, localFrame, readShore, readZones } from '../../../shared/geo/index.ts';
import { INKS, themeNow } from './colors.ts';
import { drawGround, fillBlank, haloText, labelGround } from './draw-ground.ts';
import type { Bottom, Ground } from './ground.ts';
import type { Session } from './session.ts';
import { dot } from './sketch.ts';
import { wayText } from './words.ts';

type Point = [x: number, y: number];
interface Degrees {
  readonly lat: number;
  readonly lon: number;
}

/** m shown beyond the outermost spot. */
const MARGIN = 60;
/** px from a spot within which a finger means it. */
const FINGER = 26;
/** How much more than the screen is drawn in advance, a side, in screens. */
const AHEAD = 0.5;

/** The lake on a canvas, to pan and to pinch: the ground is drawn when the fingers rest, and moved as a picture before. */
export class LakeMap {
  readonly canvas: HTMLCanvasElement;
  track: Degrees[] = [];
  private readonly session: Session;
  private readonly frame: LocalFrame;
  private readonly ground: Ground | undefined;
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
    this.drawPlan(canvas, theme);
    this.drawSpots(canvas, theme);
    this.drawOwn(canvas, theme);
    this.drawBar(canvas, theme);
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
    this.drawZones(canvas, theme);
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
    this.labelZones(canvas, theme, toPixels);
    this.drawnAt = transform;
  }

  private get zones() {
    const { zones } = this.session.data.options;
    return zones === undefined ? [] : readZones(zones.value, zones.file).zones;
  }

  private ringPath(
    polygons: readonly (readonly (readonly (readonly [lon: number, lat: number])[])[])[],
  ): Path2D {
    const path = new Path2D();
    for (const ring of polygons.flat()) {
      ring.forEach(([lon, lat], at) => {
        const place = this.meters({ lat, lon });
        if (at === 0) path.moveTo(...place);
        else path.lineTo(...place);
      });
      path.closePath();
    }
    return path;
  }

  private drawZones(canvas: CanvasRenderingContext2D, theme: 'light' | 'dark'): void {
    const scale = this.transform.k;
    const { shore } = this.session.data.options;
    if (shore !== undefined) {
      canvas.strokeStyle = INKS[theme].ink;
      canvas.lineWidth = 2 / scale;
      canvas.stroke(this.ringPath(readShore(shore.value, shore.file).polygons));
    }
    for (const { rule, polygons } of this.zones) {
      const path = this.ringPath(polygons);
      const color = rule === 'closed' ? INKS[theme].closed : INKS[theme].slow;
      canvas.strokeStyle = canvas.fillStyle = color;
      canvas.globalAlpha = rule === 'closed' ? 0.45 : 0.18;
      canvas.fill(path, 'evenodd');
      canvas.globalAlpha = 1;
      canvas.setLineDash(rule === 'closed' ? [] : [8 / scale, 5 / scale]);
      canvas.lineWidth = 3 / scale;
      canvas.stroke(path);
      canvas.setLineDash([]);
    }
  }

  private labelZones(
    canvas: CanvasRenderingContext2D,
    theme: 'light' | 'dark',
    toPixels: (e: number, s: number) => Point,
  ): void {
    canvas.font = '700 14px system-ui,sans-serif';
    for (const { rule, name, polygons } of this.zones) {
      const ring = polygons[0]?.[0] ?? [];
      const places = ring.map(([lon, lat]) => this.meters({ lat, lon }));
      const middle = (at: 0 | 1): number =>
        places.reduce((sum, place) => sum + place[at], 0) / Math.max(1, places.length);
      haloText(canvas, `${rule}: ${name}`, ...toPixels(middle(0), middle(1)), theme, INKS[theme][rule]);
    }
  }

  private strokeLine(canvas: CanvasRenderingContext2D, line: readonly Degrees[]): void {
    canvas.beginPath();
    line.forEach((place, at) => {
      if (at === 0) canvas.moveTo(...this.pixels(place));
      else canvas.lineTo(...this.pixels(place));
    });
    canvas.stroke();
  }

  /** Runs over known water only, and the track of today. */
  private drawPlan(canvas: CanvasRenderingContext2D, theme: 'light' | 'dark'): void {
    const { hand } = this.session;
    const { route, own, paper } = INKS[theme];
    const runs = [...hand.coming.map(({ run }) => run), ...(hand.plan === undefined ? [] : [hand.plan.home])];
    const lines = runs.flatMap(({ parts }) => parts.filter(isDrawn).map(({ line }) => line));
    for (const [color, width] of [
      [paper, 6],
      [route, 2.5],
    ] as const) {
      canvas.strokeStyle = color;
      canvas.lineWidth = width;
      for (const line of lines) this.strokeLine(canvas, line);
    }
    canvas.strokeStyle = own;
    canvas.lineWidth = 3;
    canvas.setLineDash([2, 5]);
    if (this.track.length > 1) this.strokeLine(canvas, this.track);
    canvas.setLineDash([]);
  }

  private drawSpots(canvas: CanvasRenderingContext2D, theme: 'light' | 'dark'): void {
    const { planner, hand, current } = this.session;
    const { ink, paper, route } = INKS[theme];
    const order = hand.coming.map(({ spot }) => spot.name);
    const taken: Point[] = [];
    const ramp = this.session.data.plan?.ramp;
    canvas.font = '700 14px system-ui,sans-serif';
    if (ramp !== undefined) {
      const [x, y] = this.pixels(ramp);
      canvas.fillStyle = ink;
      canvas.fillRect(x - 6, y - 6, 12, 12);
      haloText(canvas, 'ramp', x, y - 16, theme);
      taken.push([x, y - 16]);
    }
    const rank = (name: string): number =>
      name === current?.spot.name ? -1 : order.indexOf(name) < 0 ? 999 : order.indexOf(name);
    for (const spot of planner.spots.toSorted((a, b) => rank(a.name) - rank(b.name))) {
      const [x, y] = this.pixels(spot);
      if (x < -40 || y < -40 || x > this.width + 40 || y > this.height + 40) continue;
      const at = order.indexOf(spot.name);
      const isNow = spot.name === current?.spot.name;
      dot(
        canvas,
        [x, y],
        isNow ? 9 : at >= 0 ? 6 : 4,
        at >= 0 || isNow ? route : paper,
        isNow || at >= 0 ? paper : ink,
      );
      const label: Point = [x, y - (isNow ? 20 : 16)];
      if (!isNow && taken.some(([a, b]) => Math.abs(a - label[0]) < 40 && Math.abs(b - label[1]) < 17))
        continue;
      taken.push(label);
      haloText(canvas, at >= 0 ? `${at + 1} ${spot.name}` : spot.name, ...label, theme);
    }
  }

  private drawOwn(canvas: CanvasRenderingContext2D, theme: 'light' | 'dark'): void {
    const place = this.session.position.now;
    if (place === undefined || place.source === 'spot') return;
    const { own, paper } = INKS[theme];
    const here = this.pixels(place);
    if (place.exact !== undefined) {
      canvas.beginPath();
      canvas.arc(...here, place.exact * this.transform.k, 0, 2 * Math.PI);
      canvas.globalAlpha = 0.25;
      canvas.fillStyle = own;
      canvas.fill();
      canvas.globalAlpha = 1;
      canvas.lineWidth = 1.5;
      canvas.strokeStyle = own;
      canvas.stroke();
    }
    if (place.heading !== undefined) {
      const turn = (place.heading * Math.PI) / 180;
      canvas.lineWidth = 4;
      canvas.strokeStyle = own;
      canvas.beginPath();
      canvas.moveTo(...here);
      canvas.lineTo(here[0] + 26 * Math.sin(turn), here[1] - 26 * Math.cos(turn));
      canvas.stroke();
    }
    dot(canvas, here, 8, own, paper);
  }

  /** A bar of a round length, and what the blank is. */
  private drawBar(canvas: CanvasRenderingContext2D, theme: 'light' | 'dark'): void {
    const { units } = this.session.data;
    const unit = units === 'ft' ? 0.9144 : 1;
    const lengths = [1000, 500, 200, 100, 50, 20, 10].map((length) => length * unit);
    const length = lengths.find((each) => each * this.transform.k <= 120) ?? lengths[lengths.length - 1];
    const [x, y] = [12, this.height - 14];
    for (const [color, width] of [
      [INKS[theme].paper, 8],
      [INKS[theme].ink, 4],
    ] as const) {
      canvas.strokeStyle = color;
      canvas.lineWidth = width;
      canvas.beginPath();
      canvas.moveTo(x, y);
      canvas.lineTo(x + length * this.transform.k, y);
      canvas.stroke();
    }
    canvas.font = '600 14px system-ui,sans-serif';
    haloText(canvas, wayText(length, units), x + (length * this.transform.k) / 2, y - 14, theme);
  }
}
