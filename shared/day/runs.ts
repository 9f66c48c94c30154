import { crossesClosed, geodesicInverse, type Hours, type Zone } from '../geo/index.ts';
import {
  cellAt,
  cellCenter,
  cellsAlong,
  cellsNear,
  isRunnable,
  type KnownWater,
  WATER,
} from './known-water.ts';
import type { RunNetwork } from './run-networks.ts';
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

/** Greatest distance at which a place joins the nearest navigable water, m. */
const JOIN = 250;
/** Idle speed off known water near a ramp or a spot, m/s. */
const IDLE_SPEED = 2.2;
/** Ratio of way to straight line where the way is unknown; doubled around a closed zone. */
const DETOUR = 1.3;
/** Standard deviation of a run's duration as a share of the duration: judgment. */
const SPREAD = { known: 0.12, unverified: 0.25, unknown: 0.35 } as const;
/** Standard deviation of the time to get up to speed and settle, s. */
const FIXED_SPREAD = 20;
/** Run times between places, computed once per source and kept. */
export class RunTimes {
  private readonly places: readonly RunPlace[];
  private readonly settings: RunSettings;
  private readonly hasShore: boolean;
  private readonly network: RunNetwork | undefined;
  private readonly joints: readonly (Joint | undefined)[];
  /** Node of the graph that each place reaches, -1 for none; computed on demand. */
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

  /** Distance from a place to the water that it joins, m; undefined when no water is near or known. */
  offWater(place: number): number | undefined {
    return this.joints[place]?.distance;
  }

  /** Times from every place to every other, s, in rows, without the fixed time of a run. */
  matrix(): Float64Array {
    const count = this.places.length;
    const seconds = new Float64Array(count * count);
    const kept = this.network?.seconds;
    // Starts with the last place, where the boat is: during the day only that place is new, so it is the only source to
    // compute.
    for (let from = count - 1; from > 0; from--) {
      const targets: number[] = [];
      for (let to = 0; to < from; to++) {
        const known = kept?.get(this.key(to, from));
        if (known !== undefined) {
          seconds[from * count + to] = seconds[to * count + from] = known;
          continue;
        }
        const direct = this.straight(from, to);
        seconds[from * count + to] = seconds[to * count + from] = direct?.seconds ?? Infinity;
        if (direct === undefined || direct.isSlowed) targets.push(to);
      }
      this.shorten(seconds, from, targets);
      for (let to = 0; to < from; to++) {
        if (seconds[from * count + to] === Infinity)
          seconds[from * count + to] = seconds[to * count + from] = this.estimate(from, to).seconds;
        kept?.set(this.key(to, from), seconds[from * count + to]);
      }
    }
    return seconds;
  }

  /**
   * The whole way between two places, including the fixed time of a run. A run from a place to itself takes no time.
   */
  run(from: number, to: number): Run {
    const key = this.key(from, to);
    const way = this.network?.runs.get(key) ?? this.way(from, to);
    this.network?.runs.set(key, way);
    return from === to ? way : { ...way, seconds: way.seconds + this.settings.underWay };
  }

  private key(from: number, to: number): string {
    const [a, b] = [this.places[from], this.places[to]];
    return `${a.lat},${a.lon},${b.lat},${b.lon}`;
  }

  /**
   * The same run with its line from where the boat leaves to where it sits. A spot may be fished from two places, while
   * its runs are computed for one. An end that no straight line over known water can reach is left unchanged.
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
   * A line that leads to a place: straight from the point before its end where that is clear, otherwise by way of its
   * end.
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
    const direct = this.straight(from, to);
    const around = direct === undefined || direct.isSlowed ? this.around(from, to) : undefined;
    if (around !== undefined && (direct === undefined || around.seconds < direct.seconds)) return around;
    if (direct === undefined) return this.estimate(from, to);
    return this.asRun([this.joints[from]!, this.joints[to]!], direct.seconds);
  }

  private shorten(seconds: Float64Array, from: number, targets: readonly number[]): void {
    const joint = this.joints[from];
    const count = this.places.length;
    const reached = targets.filter((to) => this.joints[to] !== undefined);
    if (joint === undefined || this.network === undefined || reached.length === 0) return;
    const nodes = reached.map((to) => this.nodeOf(to));
    const found = dijkstra(this.network.graph, this.nodeOf(from), nodes);
    reached.forEach((to, at) => {
      const way = nodes[at] < 0 ? Infinity : found.seconds[nodes[at]];
      if (way === Infinity) return;
      const whole = way + (joint.distance + this.joints[to]!.distance) / IDLE_SPEED;
      const known = this.straight(from, to)?.seconds ?? Infinity;
      const value = Math.min(known, whole);
      seconds[from * count + to] = seconds[to * count + from] = value;
    });
  }

  private nodeOf(place: number): number {
    const joint = this.joints[place];
    if (joint === undefined || this.network === undefined) return -1;
    this.nodes[place] ??= nearestNode(this.network.graph, this.network.water, joint);
    return this.nodes[place];
  }

  private around(from: number, to: number): Run | undefined {
    const [a, b] = [this.joints[from], this.joints[to]];
    if (a === undefined || b === undefined || this.network === undefined) return undefined;
    const { graph, water } = this.network;
    const target = this.nodeOf(to);
    const source = this.nodeOf(from);
    if (target < 0 || source < 0) return undefined;
    const found = dijkstra(graph, source, [target]);
    if (found.seconds[target] === Infinity) return undefined;
    const way: [number, number][] = [[b.east, b.north]];
    for (let node = target; node >= 0; node = found.before[node])
      way.push(cellCenter(water, graph.cells[node]));
    way.push([a.east, a.north]);
    const pulled = pullTight(water, way.reverse());
    const seconds = found.seconds[target] + (a.distance + b.distance) / IDLE_SPEED;
    const line = pulled.map(([east, north]) => ({ east, north }));
    return this.asRun(line, seconds);
  }

  private asRun(line: readonly { east: number; north: number }[], seconds: number): Run {
    const parts = partsOf(this.network!.water, line);
    const distance = parts.reduce((sum, part) => sum + part.distance, 0);
    const over = parts.some((part) => part.over === 'unverified') ? 'unverified' : 'known';
    return { seconds, sd: Math.hypot(SPREAD[over] * seconds, FIXED_SPREAD), distance, over, parts };
  }

  /** Duration of the straight line over navigable water; undefined when that line is not clear. */
  private straight(from: number, to: number): { seconds: number; isSlowed: boolean } | undefined {
    const [a, b] = [this.joints[from], this.joints[to]];
    const water = this.network?.water;
    if (a === undefined || b === undefined || water === undefined) return undefined;
    const { limit, state } = water;
    const { speed } = this.settings;
    let seconds = (a.distance + b.distance) / IDLE_SPEED;
    let isSlowed = false;
    const isClear = cellsAlong(water, [a.east, a.north], [b.east, b.north], (cell, length) => {
      if (cell < 0 || !isRunnable(state[cell])) return false;
      const allowed = limit === undefined ? speed : Math.min(speed, limit[cell]);
      if (allowed < speed) isSlowed = true;
      seconds += length / allowed;
      return true;
    });
    return isClear ? { seconds, isSlowed } : undefined;
  }

  /**
   * A straight line with an allowance for detours, split where the water is unknown. No way exists where the shoreline
   * lies between.
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
      parts: isSplit ? partsOf(this.network!.water, [begin, end]) : [],
    };
  }
}

interface Joint {
  readonly east: number;
  readonly north: number;
  /** Distance from the place, m. */
  readonly distance: number;
}

/**
 * Where a place joins the water: the place itself, or the center of the nearest navigable cell with no land between.
 *
 * A ramp may be on land; crossing that land to reach the water is allowed.
 */
function joinWater(water: KnownWater, place: RunPlace): Joint | undefined {
  const [east, north] = water.frame.toLocal(place.lat, place.lon);
  const own = cellAt(water, east, north);
  if (own >= 0 && isRunnable(water.state[own])) return { east, north, distance: 0 };
  if (own >= 0 && water.state[own] === WATER.closed) return undefined;
  return cellsNear(water, { east, north }, JOIN, (cell) => isRunnable(water.state[cell]))
    .filter(({ distance }) => distance <= JOIN)
    .slice(0, MAX_JOINTS)
    .find((joint) => !landBetween(water, [east, north], joint));
}

/** Most cells of water tried, starting with the nearest. */
const MAX_JOINTS = 400;

/** True when a straight way crosses land after leaving any land at its beginning. */
function landBetween(water: KnownWater, from: readonly [number, number], to: Joint): boolean {
  let hasLeft = false;
  return !cellsAlong(water, from, [to.east, to.north], (cell) => {
    const isLand = cell >= 0 && water.state[cell] === WATER.land;
    hasLeft ||= !isLand;
    return !(isLand && hasLeft);
  });
}

/** A way without the corners that a clear line over equally fast water can bypass. */
function pullTight(water: KnownWater, way: readonly [number, number][]): [number, number][] {
  const tight: [number, number][] = [way[0]];
  let at = 0;
  while (at < way.length - 1) {
    let next = way.length - 1;
    while (next > at + 1 && !isOpenLine(water, way[at], way[next])) next--;
    tight.push(way[next]);
    at = next;
  }
  return tight;
}

function isOpenLine(
  water: KnownWater,
  from: readonly [number, number],
  to: readonly [number, number],
): boolean {
  const { state, limit } = water;
  return cellsAlong(water, from, to, (cell) => {
    return cell >= 0 && isRunnable(state[cell]) && (limit === undefined || limit[cell] === Infinity);
  });
}
