import { type Hours, holdsDuring, type Zone } from '../geo/index.ts';
import { type KnownWater, withZones } from './known-water.ts';
import type { Run } from './run-parts.ts';
import { buildGraph, type Graph } from './water-graph.ts';

/** Water with the zones in force during certain hours, and the runs computed on this water. */
export interface RunNetwork {
  readonly water: KnownWater;
  readonly graph: Graph;
  /** Times of runs without the fixed time of a run, s, by `pairKey`: both ways take the same time. */
  readonly seconds: Map<string, number>;
  /** Runs without the fixed time of a run, by `lat,lon,lat,lon` of the ends. */
  readonly runs: Map<string, Run>;
}

/** Travel times between places for one speed and one set of zones in force, in a form that can be stored. */
export interface ComputedRuns {
  /** Speed, and whether each zone is in force, as JSON. */
  readonly key: string;
  /** `lat,lon` of each place. */
  readonly places: readonly string[];
  /** Time between each place and each later place in `places`, row by row, s; null where not kept. */
  readonly seconds: readonly (number | null)[];
}

/** The water of a lake, with a network for each combination of zones in force and speed. */
export class RunNetworks {
  readonly water: KnownWater;
  private readonly kept = new Map<string, RunNetwork>();
  private readonly given: readonly ComputedRuns[];

  /** @param water Water without zones. @param given Result of `computed` for the same water and zones. */
  constructor(water: KnownWater, given: readonly ComputedRuns[] = []) {
    this.water = water;
    this.given = given;
  }

  /** Returns the network with the zones in force during some hours. @param speed Speed on open water, m/s. */
  during(zones: readonly Zone[], hours: Hours, speed: number): RunNetwork {
    const key = JSON.stringify([speed, zones.map((zone) => holdsDuring(zone, hours))]);
    let network = this.kept.get(key);
    if (network === undefined) {
      const water = withZones(this.water, zones, hours);
      network = { water, graph: buildGraph(water, speed), seconds: this.givenSeconds(key), runs: new Map() };
      this.kept.set(key, network);
    }
    return network;
  }

  computed(): ComputedRuns[] {
    return [...this.kept].map(([key, { seconds }]) => {
      const places = [...new Set([...seconds.keys()].flatMap((pair) => pair.split(' ')))];
      return { key, places, seconds: pairsOf(places).map((pair) => seconds.get(pair) ?? null) };
    });
  }

  private givenSeconds(key: string): Map<string, number> {
    const given = this.given.find((each) => each.key === key);
    const seconds = new Map<string, number>();
    pairsOf(given?.places ?? []).forEach((pair, at) => {
      const known = given?.seconds[at];
      if (typeof known === 'number') seconds.set(pair, known);
    });
    return seconds;
  }
}

const pairsOf = (places: readonly string[]): string[] =>
  places.flatMap((from, at) => places.slice(at + 1).map((to) => pairKey(from, to)));

/** Returns a key for two places, each as `lat,lon`, in either order. */
export const pairKey = (a: string, b: string): string => (a < b ? `${a} ${b}` : `${b} ${a}`);
