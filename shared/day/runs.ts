import { range, sum } from 'd3-array';
import { crossesClosed, geodesicInverse, type Hours, type Zone } from '../geo/index.ts';
import {
  cellAt,
  cellCenter,
  cellsAlong,
  cellsNear,
  type EastNorth,
  isRunnable,
  type KnownWater,
  secondsAlong,
  WATER,
} from './known-water.ts';
import { pairKey, type RunNetwork } from './run-networks.ts';
import { partsOf, type Run, type RunPlace } from './run-parts.ts';
import { dijkstra, nearestNode } from './water-graph.ts';

export interface RunSettings {
  /** Speed on open water, m/s. */
  readonly speed: number;
  /** Fixed time of every run, s: stowing rods, getting up to speed, settling. */
  readonly underWay: number;
  readonly zones: readonly Zone[];
  readonly hours: Hours;
}

/** Maximum distance from a place to the navigable water that it joins, m; covered at idle speed. */
const JOIN = 250;
/** Idle speed between a place and the navigable water near it, m/s. */
const IDLE_SPEED = 2.2;
/** Length of an estimated run divided by the straight distance; doubled around a closed zone. */
const DETOUR = 1.3;
/** Standard deviation of a run's duration, as a share of the duration, by kind of water; judgment. */
const SPREAD = { known: 0.12, unverified: 0.25, unknown: 0.35 } as const;
/** Standard deviation of the fixed time of a run, s. */
const FIXED_SPREAD = 20;
/** Tolerance for comparing the time of a line with the time at full speed, s. */
const ROUNDING = 1e-6;

/** Computes the runs between places, and the times of these runs. The network keeps both. */
export class RunTimes {
  private readonly places: readonly RunPlace[];
  private readonly settings: RunSettings;
  private readonly hasShore: boolean;
  private readonly network: RunNetwork | undefined;
  private readonly joints: readonly (Joint | undefined)[];
  /** Graph node that each place reaches; -1 for none, undefined until computed. */
  private readonly nodes: (number | undefined)[];

  /** @param network Undefined when no water is known, so that every run is an estimate. */
  constructor(places: readonly RunPlace[], network: RunNetwork | undefined, settings: RunSettings) {
    const water = network?.water;
    this.places = places;
    this.network = network;
    this.settings = settings;
    this.hasShore = water?.state.includes(WATER.land) ?? false;
    this.joints = places.map((place) => (water === undefined ? undefined : joinWater(water, place)));
    this.nodes = places.map(() => undefined);
  }

  /** Returns the distance from a place to the water that it joins, m; undefined when it joins none. */
  offWater(place: number): number | undefined {
    return this.joints[place]?.distance;
  }

  /** Returns the times between all places, s, one row per place, without the fixed time of a run. */
  matrix(): Float64Array {
    const count = this.places.length;
    const seconds = new Float64Array(count * count);
    const kept = this.network?.seconds ?? new Map<string, number>();
    // Start and finish come last in `places`. In a later plan with kept times, only the start is new, so only
    // its runs are searched.
    for (let from = count - 1; from > 0; from--) {
      const unknown = range(from).filter((to) => !kept.has(this.pair(to, from)));
      this.waysFrom(from, unknown).forEach((way, at) => {
        const to = unknown[at];
        kept.set(this.pair(to, from), way?.seconds ?? this.estimate(from, to).seconds);
      });
      for (let to = 0; to < from; to++)
        seconds[from * count + to] = seconds[to * count + from] = kept.get(this.pair(to, from))!;
    }
    return seconds;
  }

  /** Returns the run between two places, with the fixed time of a run unless both places are the same. */
  run(from: number, to: number): Run {
    const key = `${this.latLon(from)},${this.latLon(to)}`;
    const way = this.network?.runs.get(key) ?? this.way(from, to);
    this.network?.runs.set(key, way);
    return from === to ? way : { ...way, seconds: way.seconds + this.settings.underWay };
  }

  private pair(from: number, to: number): string {
    return pairKey(this.latLon(from), this.latLon(to));
  }

  private latLon(place: number): string {
    const { lat, lon } = this.places[place];
    return `${lat},${lon}`;
  }

  /**
   * Moves the ends of a run's line to the positions of the boat. Runs are computed for the first side of a
   * spot, but the boat may be on the other side. If no straight line over known water leads to the boat, the
   * end stays as it is.
   */
  between(run: Run, begin: RunPlace, end: RunPlace): Run {
    const last = run.parts.at(-1);
    if (last === undefined) return run;
    const parts = [...run.parts];
    if (last.over === 'known') parts[parts.length - 1] = { ...last, line: this.ledTo(last.line, end) };
    const begins = parts[0];
    if (begins.over === 'known')
      parts[0] = { ...begins, line: this.ledTo(begins.line.toReversed(), begin).toReversed() };
    return { ...run, parts };
  }

  /**
   * Extends a line to a place over known water, from its next-to-last point if possible, else from its last
   * point. Returns the line unchanged when both ways are blocked.
   */
  private ledTo(line: readonly RunPlace[], place: RunPlace): readonly RunPlace[] {
    const rest = line.slice(0, -1);
    if (this.isKnownBetween(rest[rest.length - 1], place)) return [...rest, place];
    return this.isKnownBetween(line[line.length - 1], place) ? [...line, place] : line;
  }

  private isKnownBetween(from: RunPlace, to: RunPlace): boolean {
    const water = this.network?.water;
    if (water === undefined) return false;
    const [a, b] = [from, to].map(({ lat, lon }) => water.frame.toLocal(lat, lon));
    return cellsAlong(water, a, b, (cell) => cell >= 0 && water.state[cell] === WATER.known);
  }

  private way(from: number, to: number): Run {
    const [way] = this.waysFrom(from, [to]);
    if (way === undefined) return this.estimate(from, to);
    const { seconds } = way;
    const parts = partsOf(this.network!.water, way.line());
    const distance = sum(parts, (part) => part.distance);
    const over = parts.some((part) => part.over === 'unverified') ? 'unverified' : 'known';
    return { seconds, sd: Math.hypot(SPREAD[over] * seconds, FIXED_SPREAD), distance, over, parts };
  }

  /**
   * Finds the fastest way over navigable water from a place to each target: straight, or by the graph where
   * the straight line is blocked or slowed by a zone. Undefined where no way is found.
   */
  private waysFrom(from: number, targets: readonly number[]): (Way | undefined)[] {
    const { network, joints } = this;
    const begin = joints[from];
    if (network === undefined || begin === undefined) return targets.map(() => undefined);
    const straight = targets.map((to) => this.straight(begin.at, joints[to]?.at));
    const nodes = targets.map((to, at) => (straight[at].isFull ? -1 : this.nodeOf(to)));
    const isAnyAround = nodes.some((node) => node >= 0);
    const found = isAnyAround ? dijkstra(network.graph, this.nodeOf(from), nodes) : undefined;
    return targets.map((to, at) => {
      const end = joints[to];
      const around = found?.seconds[nodes[at]] ?? Infinity;
      const seconds = Math.min(around, straight[at].seconds);
      if (end === undefined || seconds === Infinity) return undefined;
      const line = (): EastNorth[] => {
        if (around >= straight[at].seconds) return [begin.at, end.at];
        const way = [end.at];
        for (let node = nodes[at]; node >= 0; node = found!.before[node])
          way.push(cellCenter(network.water, network.graph.cells[node]));
        return this.pullTight([begin.at, ...way.reverse()]);
      };
      return { seconds: seconds + (begin.distance + end.distance) / IDLE_SPEED, line };
    });
  }

  /** Times a straight line over navigable water, s; Infinity if blocked. `isFull`: clear at full speed. */
  private straight(
    from: EastNorth,
    to: EastNorth | undefined,
  ): { readonly seconds: number; readonly isFull: boolean } {
    if (to === undefined) return { seconds: Infinity, isFull: false };
    const { speed } = this.settings;
    const seconds = secondsAlong(this.network!.water, from, to, speed);
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    return { seconds, isFull: seconds <= length / speed + ROUNDING };
  }

  /** Removes the corners of a way that a straight line at full speed can bypass. */
  private pullTight(way: readonly EastNorth[]): EastNorth[] {
    const tight = [way[0]];
    for (let at = 0; at < way.length - 1; ) {
      let next = way.length - 1;
      while (next > at + 1 && !this.straight(way[at], way[next]).isFull) next--;
      tight.push(way[next]);
      at = next;
    }
    return tight;
  }

  private nodeOf(place: number): number {
    const joint = this.joints[place];
    if (joint === undefined || this.network === undefined) return -1;
    this.nodes[place] ??= nearestNode(this.network.graph, this.network.water, joint.at);
    return this.nodes[place];
  }

  /**
   * Estimates a run without a known way as the straight distance times `DETOUR`. With a shoreline, the time
   * is Infinity if both places join the water: no way by water is then taken to exist.
   */
  private estimate(from: number, to: number): Run {
    const [a, b] = [this.places[from], this.places[to]];
    const [begin, end] = [this.joints[from], this.joints[to]];
    const straight = geodesicInverse(a.lat, a.lon, b.lat, b.lon).distance;
    const isCutOff = this.hasShore && begin !== undefined && end !== undefined;
    const isBlocked = crossesClosed(this.settings.zones, a.lat, a.lon, b.lat, b.lon, this.settings.hours);
    const distance = straight * DETOUR * (isBlocked ? 2 : 1);
    const seconds = isCutOff && from !== to ? Infinity : distance / this.settings.speed;
    const isSplit = this.network !== undefined && !this.hasShore && begin !== undefined && end !== undefined;
    return {
      seconds,
      sd: Math.hypot(SPREAD.unknown * seconds, FIXED_SPREAD),
      distance,
      over: 'unknown',
      parts: isSplit ? partsOf(this.network!.water, [begin.at, end.at]) : [],
    };
  }
}

interface Joint {
  /** Point on navigable water where runs to a place end. */
  readonly at: EastNorth;
  /** Distance from the place to the point, m. */
  readonly distance: number;
}

interface Way {
  readonly seconds: number;
  readonly line: () => readonly EastNorth[];
}

/**
 * Finds where a place joins the water: the place itself, or the center of the nearest navigable cell within
 * `JOIN`. The line to the cell crosses no land other than the land that the place is on, such as a ramp.
 *
 * @returns undefined for a place in a closed zone, or without such a cell.
 */
function joinWater(water: KnownWater, place: RunPlace): Joint | undefined {
  const at = water.frame.toLocal(place.lat, place.lon);
  const own = cellAt(water, at);
  if (own >= 0 && isRunnable(water.state[own])) return { at, distance: 0 };
  if (own >= 0 && water.state[own] === WATER.closed) return undefined;
  return cellsNear(water, at, JOIN, (cell) => isRunnable(water.state[cell]))
    .filter(({ distance }) => distance <= JOIN)
    .slice(0, MAX_JOINTS)
    .find((joint) => !landBetween(water, at, joint.at));
}

/** Maximum number of cells tried, nearest first. */
const MAX_JOINTS = 400;

/** True when a straight line meets land after leaving the land, if any, at its beginning. */
function landBetween(water: KnownWater, from: EastNorth, to: EastNorth): boolean {
  let hasLeft = false;
  return !cellsAlong(water, from, to, (cell) => {
    const isLand = cell >= 0 && water.state[cell] === WATER.land;
    hasLeft ||= !isLand;
    return !(isLand && hasLeft);
  });
}
