import { crossesClosed, geodesicInverse, type Hours, type Zone } from '../geo/index.ts';
import { cellAt, cellCenter, cellsAlong, isRunnable, type KnownWater, WATER } from './known-water.ts';
import type { Ways } from './lake-ways.ts';
import { type Over, partsOf, type RunPart } from './run-parts.ts';
import { dijkstra, nearestNode } from './water-graph.ts';

/** A way from one place to another. */
export interface Run {
  /** s, and its standard deviation; infinite where a shoreline leaves no way. */
  readonly seconds: number;
  readonly sd: number;
  /** m. */
  readonly distance: number;
  /** The least that can be said of all its parts. */
  readonly over: Over;
  /** What it goes over, in order; empty where nothing is known. */
  readonly parts: readonly RunPart[];
}

export interface RunSettings {
  /** m/s on open water. */
  readonly speed: number;
  /** s that every run takes besides its way: stowing rods, getting up to speed, settling. */
  readonly underWay: number;
  readonly zones: readonly Zone[];
  readonly hours: Hours;
}

export interface RunPlace {
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
const SPREAD = { known: 0.12, unverified: 0.25, unknown: 0.35 } as const;
/** s: getting up to speed and settling. */
const FIXED_SPREAD = 20;
/** Run times between places, worked out once a source and kept. */
export class RunTimes {
  private readonly places: readonly RunPlace[];
  private readonly water: KnownWater | undefined;
  private readonly settings: RunSettings;
  private readonly hasShore: boolean;
  private readonly ways: Ways | undefined;
  private readonly joints: readonly (Joint | undefined)[];
  /** By place: node of the graph that it reaches, -1 for none; worked out when it is asked for. */
  private readonly nodes: (number | undefined)[];

  /** @param ways Undefined when nothing is known: every run is then an estimate. */
  constructor(places: readonly RunPlace[], ways: Ways | undefined, settings: RunSettings) {
    const water = ways?.water;
    this.places = places;
    this.water = water;
    this.ways = ways;
    this.settings = settings;
    this.hasShore = water?.state.includes(WATER.land) ?? false;
    this.joints = places.map((place) => (water === undefined ? undefined : joinWater(water, place)));
    this.nodes = places.map(() => undefined);
  }

  /** m from a place to the water that it joins; undefined when none is near or nothing is known. */
  offWater(place: number): number | undefined {
    return this.joints[place]?.distance;
  }

  /** Seconds from every place to every place, in rows, without what a run takes besides its way. */
  matrix(): Float64Array {
    const count = this.places.length;
    const seconds = new Float64Array(count * count);
    const kept = this.ways?.seconds;
    for (let from = 0; from < count; from++) {
      const targets: number[] = [];
      for (let to = from + 1; to < count; to++) {
        const known = kept?.get(this.key(from, to));
        if (known !== undefined) {
          seconds[from * count + to] = seconds[to * count + from] = known;
          continue;
        }
        const direct = this.straight(from, to);
        seconds[from * count + to] = seconds[to * count + from] = direct?.seconds ?? Infinity;
        if (direct === undefined || direct.isSlowed) targets.push(to);
      }
      this.shorten(seconds, from, targets);
      for (let to = from + 1; to < count; to++) {
        if (seconds[from * count + to] === Infinity)
          seconds[from * count + to] = seconds[to * count + from] = this.estimate(from, to).seconds;
        kept?.set(this.key(from, to), seconds[from * count + to]);
      }
    }
    return seconds;
  }

  /** The whole way between two places with what a run takes besides; no time from a place to itself. */
  run(from: number, to: number): Run {
    const key = this.key(from, to);
    const way = this.ways?.runs.get(key) ?? this.way(from, to);
    this.ways?.runs.set(key, way);
    return from === to ? way : { ...way, seconds: way.seconds + this.settings.underWay };
  }

  private key(from: number, to: number): string {
    const [a, b] = [this.places[from], this.places[to]];
    return `${a.lat},${a.lon},${b.lat},${b.lon}`;
  }

  /**
   * The same run with its line from where the boat leaves to where it sits: a spot may be fished from two places, and
   * its runs are worked out for one. An end to which no straight line over known water leads stays where it is.
   */
  between(run: Run, begin: RunPlace, end: RunPlace): Run {
    const first = run.parts[0];
    const last = run.parts.at(-1);
    if (first === undefined || last === undefined) return run;
    const parts = [...run.parts];
    if (last.over === 'known') parts[parts.length - 1] = { ...last, line: this.ledTo(last.line, end) };
    const begins = parts[0];
    if (begins.over === 'known')
      parts[0] = { ...begins, line: this.ledTo(begins.line.toReversed(), begin).toReversed() };
    return { ...run, parts };
  }

  /** A line that ends at a place: straight from the point before its end where that is clear, or by its end. */
  private ledTo(line: readonly RunPlace[], place: RunPlace): readonly RunPlace[] {
    const rest = line.slice(0, -1);
    if (this.isKnownBetween(rest[rest.length - 1], place)) return [...rest, place];
    return this.isKnownBetween(line[line.length - 1], place) ? [...line, place] : line;
  }

  private isKnownBetween(from: RunPlace, to: RunPlace): boolean {
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
    return this.asRun([this.joints[from]!, this.joints[to]!], direct.seconds);
  }

  private shorten(seconds: Float64Array, from: number, targets: readonly number[]): void {
    const joint = this.joints[from];
    const count = this.places.length;
    const reached = targets.filter((to) => this.joints[to] !== undefined);
    if (joint === undefined || this.ways === undefined || reached.length === 0) return;
    const nodes = reached.map((to) => this.nodeOf(to));
    const found = dijkstra(this.ways.graph, this.nodeOf(from), nodes);
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
    if (joint === undefined || this.ways === undefined || this.water === undefined) return -1;
    this.nodes[place] ??= nearestNode(this.ways.graph, this.water, joint);
    return this.nodes[place];
  }

  private around(from: number, to: number): Run | undefined {
    const [a, b] = [this.joints[from], this.joints[to]];
    if (a === undefined || b === undefined || this.ways === undefined || this.water === undefined)
      return undefined;
    const target = this.nodeOf(to);
    const source = this.nodeOf(from);
    if (target < 0 || source < 0) return undefined;
    const found = dijkstra(this.ways.graph, source, [target]);
    if (found.seconds[target] === Infinity) return undefined;
    const way: [number, number][] = [[b.east, b.north]];
    for (let node = target; node >= 0; node = found.before[node])
      way.push(cellCenter(this.water, this.ways.graph.cells[node]));
    way.push([a.east, a.north]);
    const pulled = pullTight(this.water, way.reverse());
    const seconds = found.seconds[target] + (a.distance + b.distance) / IDLE_SPEED;
    return this.asRun(
      pulled.map(([east, north]) => ({ east, north })),
      seconds,
    );
  }

  private asRun(line: readonly { east: number; north: number }[], seconds: number): Run {
    const parts = partsOf(this.water!, line);
    const distance = parts.reduce((sum, part) => sum + part.distance, 0);
    const over = parts.some((part) => part.over === 'unverified') ? 'unverified' : 'known';
    return { seconds, sd: Math.hypot(SPREAD[over] * seconds, FIXED_SPREAD), distance, over, parts };
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

  /**
   * A straight line with an allowance, cut where the water is not known; no way at all where a shoreline lies between.
   */
  private estimate(from: number, to: number): Run {
    const [a, b] = [this.places[from], this.places[to]];
    const [begin, end] = [this.joints[from], this.joints[to]];
    const straight = geodesicInverse(a.lat, a.lon, b.lat, b.lon).distance;
    const isCutOff = this.hasShore && begin !== undefined && end !== undefined;
    const isBlocked = crossesClosed(this.settings.zones, a.lat, a.lon, b.lat, b.lon, this.settings.hours);
    const distance = straight * DETOUR * (isBlocked ? 2 : 1);
    const seconds = isCutOff && from !== to ? Infinity : distance / this.settings.speed;
    const { water } = this;
    return {
      seconds,
      sd: Math.hypot(SPREAD.unknown * seconds, FIXED_SPREAD),
      distance,
      over: 'unknown',
      parts:
        water === undefined || this.hasShore || begin === undefined || end === undefined
          ? []
          : partsOf(water, [begin, end]),
    };
  }
}

interface Joint {
  readonly east: number;
  readonly north: number;
  /** m from the place. */
  readonly distance: number;
}

/**
 * Where a place joins the water: itself, or the middle of the nearest cell that may be run over with no land between.
 *
 * A ramp may lie on land: the way out of that counts as the place's own.
 */
function joinWater(water: KnownWater, place: RunPlace): Joint | undefined {
  const [east, north] = water.frame.toLocal(place.lat, place.lon);
  const own = cellAt(water, east, north);
  if (own >= 0 && isRunnable(water.state[own])) return { east, north, distance: 0 };
  if (own >= 0 && water.state[own] === WATER.closed) return undefined;
  const found: Joint[] = [];
  const reach = Math.ceil(JOIN / water.size);
  for (let down = -reach; down <= reach; down++) {
    for (let along = -reach; along <= reach; along++) {
      const cell = cellAt(water, east + along * water.size, north + down * water.size);
      if (cell < 0 || !isRunnable(water.state[cell])) continue;
      const [toEast, toNorth] = cellCenter(water, cell);
      const distance = Math.hypot(toEast - east, toNorth - north);
      if (distance <= JOIN) found.push({ east: toEast, north: toNorth, distance });
    }
  }
  found.sort((a, b) => a.distance - b.distance);
  return found.slice(0, MOST_JOINTS).find((joint) => !landBetween(water, [east, north], joint));
}

/** Cells of water tried from the nearest on. */
const MOST_JOINTS = 400;

/** True when a straight way crosses land after it has left the land that it may begin on. */
function landBetween(water: KnownWater, from: readonly [number, number], to: Joint): boolean {
  let hasLeft = false;
  return !cellsAlong(water, from, [to.east, to.north], (cell) => {
    const isLand = cell >= 0 && water.state[cell] === WATER.land;
    hasLeft ||= !isLand;
    return !(isLand && hasLeft);
  });
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
