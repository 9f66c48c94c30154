import { crossesClosed, geodesicInverse, type Hours, type Zone } from '../geo/index.ts';
import { cellAt, cellCenter, cellsAlong, isRunnable, type KnownWater, WATER } from './known-water.ts';
import { buildGraph, dijkstra, type Graph, nearestNode } from './water-graph.ts';

/** A way from one place to another. */
export interface Run {
  /** s, and its standard deviation. */
  readonly seconds: number;
  readonly sd: number;
  /** m. */
  readonly distance: number;
  /**
   * `known`: over known water all the way; `unverified`: part only inside the shoreline given; `estimate`:
   * no way over known water was found, the time is a straight line with an allowance.
   */
  readonly over: 'known' | 'unverified' | 'estimate';
  /** Places of the line, deg; empty for an estimate. */
  readonly line: readonly { readonly lat: number; readonly lon: number }[];
}

export interface RunSettings {
  /** m/s on open water. */
  readonly speed: number;
  /** s that every run takes besides its way: stowing rods, getting up to speed, settling. */
  readonly underWay: number;
  readonly zones: readonly Zone[];
  readonly hours: Hours;
}

export interface Place {
  readonly lat: number;
  readonly lon: number;
}

/** A place joins the nearest water that may be run over within this distance, m. */
const JOIN = 250;
/** m/s off known water near a ramp or a spot: idling. */
const IDLE_SPEED = 2.2;
/** Way over straight line where the way is not known; twice that round a closed zone. */
const DETOUR = 1.3;
/** Share of the time that one run is off, standard deviation: judgment. */
const SPREAD = { known: 0.12, unverified: 0.25, estimate: 0.35 } as const;
/** s: getting up to speed and settling. */
const FIXED_SPREAD = 20;
/** Run times between places, worked out once a source and kept. */
export class RunTimes {
  private readonly places: readonly Place[];
  private readonly water: KnownWater | undefined;
  private readonly settings: RunSettings;
  private readonly graph: Graph | undefined;
  private readonly joints: readonly (Joint | undefined)[];
  /** By place: node of the graph that it reaches, -1 for none; worked out when it is asked for. */
  private readonly nodes: (number | undefined)[];

  /** @param water Undefined when nothing is known: every run is then an estimate. */
  constructor(places: readonly Place[], water: KnownWater | undefined, settings: RunSettings) {
    this.places = places;
    this.water = water;
    this.settings = settings;
    this.graph = water === undefined ? undefined : buildGraph(water, settings.speed);
    this.joints = places.map((place) => (water === undefined ? undefined : joinWater(water, place)));
    this.nodes = places.map(() => undefined);
  }

  /** m from a place to the water that it joins; undefined when none is near or nothing is known. */
  offWater(place: number): number | undefined {
    return this.joints[place]?.distance;
  }

  /** Seconds from every place to every place, in rows. */
  matrix(): Float64Array {
    const count = this.places.length;
    const seconds = new Float64Array(count * count);
    for (let from = 0; from < count; from++) {
      const targets: number[] = [];
      for (let to = from + 1; to < count; to++) {
        const direct = this.straight(from, to);
        const value = direct?.seconds ?? this.estimate(from, to).seconds;
        seconds[from * count + to] = seconds[to * count + from] = value;
        if (direct === undefined || direct.isSlowed) targets.push(to);
      }
      this.shorten(seconds, from, targets);
    }
    const { underWay } = this.settings;
    return seconds.map((way, at) => (at % (count + 1) === 0 ? way : way + underWay));
  }

  /** The whole way between two places; no time from a place to itself. */
  run(from: number, to: number): Run {
    const way = this.way(from, to);
    return from === to ? way : { ...way, seconds: way.seconds + this.settings.underWay };
  }

  /**
   * The same run with its line from where the boat leaves to where it sits: a spot may be fished from two places, and
   * its runs are worked out for one. An end to which no straight line over known water leads stays where it is.
   */
  between(run: Run, begin: Place, end: Place): Run {
    if (run.line.length < 2) return run;
    const led = this.ledTo(this.ledTo(run.line, end).toReversed(), begin);
    return { ...run, line: led.toReversed() };
  }

  /** A line that ends at a place: straight from the point before its end where that is clear, or by its end. */
  private ledTo(line: Run['line'], place: Place): Run['line'] {
    const rest = line.slice(0, -1);
    if (this.isKnownBetween(rest[rest.length - 1], place)) return [...rest, place];
    return this.isKnownBetween(line[line.length - 1], place) ? [...line, place] : line;
  }

  private isKnownBetween(from: Place, to: Place): boolean {
    const { water } = this;
    return (
      water !== undefined &&
      cellsAlong(
        water,
        water.frame.toLocal(from.lat, from.lon),
        water.frame.toLocal(to.lat, to.lon),
        (cell) => cell >= 0 && water.state[cell] === WATER.known,
      )
    );
  }

  private way(from: number, to: number): Run {
    const direct = this.straight(from, to);
    const around = direct === undefined || direct.isSlowed ? this.around(from, to) : undefined;
    if (around !== undefined && (direct === undefined || around.seconds < direct.seconds)) return around;
    if (direct === undefined) return this.estimate(from, to);
    const line = [this.joints[from]!, this.joints[to]!];
    return this.asRun(line, direct.seconds);
  }

  private shorten(seconds: Float64Array, from: number, targets: readonly number[]): void {
    const joint = this.joints[from];
    const count = this.places.length;
    const reached = targets.filter((to) => this.joints[to] !== undefined);
    if (joint === undefined || this.graph === undefined || reached.length === 0) return;
    const nodes = reached.map((to) => this.nodeOf(to));
    const found = dijkstra(this.graph, this.nodeOf(from), nodes);
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
    if (joint === undefined || this.graph === undefined || this.water === undefined) return -1;
    this.nodes[place] ??= nearestNode(this.graph, this.water, joint);
    return this.nodes[place];
  }

  private around(from: number, to: number): Run | undefined {
    const [a, b] = [this.joints[from], this.joints[to]];
    if (a === undefined || b === undefined || this.graph === undefined || this.water === undefined)
      return undefined;
    const target = this.nodeOf(to);
    const source = this.nodeOf(from);
    if (target < 0 || source < 0) return undefined;
    const found = dijkstra(this.graph, source, [target]);
    if (found.seconds[target] === Infinity) return undefined;
    const way: [number, number][] = [[b.east, b.north]];
    for (let node = target; node >= 0; node = found.before[node])
      way.push(cellCenter(this.water, this.graph.cells[node]));
    way.push([a.east, a.north]);
    const pulled = pullTight(this.water, way.reverse());
    const seconds = found.seconds[target] + (a.distance + b.distance) / IDLE_SPEED;
    return this.asRun(
      pulled.map(([east, north]) => ({ east, north })),
      seconds,
    );
  }

  private asRun(line: readonly { east: number; north: number }[], seconds: number): Run {
    const water = this.water!;
    let distance = 0;
    let over: 'known' | 'unverified' = 'known';
    for (let at = 1; at < line.length; at++) {
      const [a, b] = [line[at - 1], line[at]];
      cellsAlong(water, [a.east, a.north], [b.east, b.north], (cell, length) => {
        distance += length;
        if (cell < 0 || water.state[cell] !== WATER.known) over = 'unverified';
        return true;
      });
    }
    const sd = Math.hypot(SPREAD[over] * seconds, FIXED_SPREAD);
    const places = line.map(({ east, north }) => {
      const [lat, lon] = water.frame.toGeographic(east, north);
      return { lat, lon };
    });
    return { seconds, sd, distance, over, line: places };
  }

  /** The straight line over water that may be run over; undefined when it is not clear. */
  private straight(from: number, to: number): { seconds: number; isSlowed: boolean } | undefined {
    const [a, b] = [this.joints[from], this.joints[to]];
    if (a === undefined || b === undefined || this.water === undefined) return undefined;
    const { limit, state } = this.water;
    const { speed } = this.settings;
    let seconds = (a.distance + b.distance) / IDLE_SPEED;
    let isSlowed = false;
    const isClear = cellsAlong(this.water, [a.east, a.north], [b.east, b.north], (cell, length) => {
      if (cell < 0 || !isRunnable(state[cell])) return false;
      const allowed = limit === undefined ? speed : Math.min(speed, limit[cell]);
      if (allowed < speed) isSlowed = true;
      seconds += length / allowed;
      return true;
    });
    return isClear ? { seconds, isSlowed } : undefined;
  }

  private estimate(from: number, to: number): Run {
    const [a, b] = [this.places[from], this.places[to]];
    const straight = geodesicInverse(a.lat, a.lon, b.lat, b.lon).distance;
    const isBlocked = crossesClosed(this.settings.zones, a.lat, a.lon, b.lat, b.lon, this.settings.hours);
    const distance = straight * DETOUR * (isBlocked ? 2 : 1);
    const seconds = distance / this.settings.speed;
    return {
      seconds,
      sd: Math.hypot(SPREAD.estimate * seconds, FIXED_SPREAD),
      distance,
      over: 'estimate',
      line: [],
    };
  }
}

interface Joint {
  readonly east: number;
  readonly north: number;
  /** m from the place. */
  readonly distance: number;
}

/** Where a place joins the water: itself, or the middle of the nearest cell that may be run over. */
function joinWater(water: KnownWater, place: Place): Joint | undefined {
  const [east, north] = water.frame.toLocal(place.lat, place.lon);
  const own = cellAt(water, east, north);
  if (own >= 0 && isRunnable(water.state[own])) return { east, north, distance: 0 };
  if (own >= 0 && water.state[own] === WATER.closed) return undefined;
  let best: Joint | undefined;
  const reach = Math.ceil(JOIN / water.size);
  for (let down = -reach; down <= reach; down++) {
    for (let along = -reach; along <= reach; along++) {
      const cell = cellAt(water, east + along * water.size, north + down * water.size);
      if (cell < 0 || !isRunnable(water.state[cell])) continue;
      const [toEast, toNorth] = cellCenter(water, cell);
      const distance = Math.hypot(toEast - east, toNorth - north);
      if (distance <= JOIN && (best === undefined || distance < best.distance))
        best = { east: toEast, north: toNorth, distance };
    }
  }
  return best;
}

/** A way with the corners left out that a clear line of no slower water passes by. */
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
  return cellsAlong(
    water,
    from,
    to,
    (cell) =>
      cell >= 0 &&
      isRunnable(water.state[cell]) &&
      (water.limit === undefined || water.limit[cell] === Infinity),
  );
}
