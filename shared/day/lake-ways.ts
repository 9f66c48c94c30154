import { type Hours, holdsDuring, type Zone } from '../geo/index.ts';
import { type KnownWater, withZones } from './known-water.ts';
import type { Run } from './runs.ts';
import { buildGraph, type Graph } from './water-graph.ts';

/** Water with the zones of some hours, its graph, and what was worked out on it, by `placeKey` of both ends. */
export interface Ways {
  readonly water: KnownWater;
  readonly graph: Graph;
  readonly seconds: Map<string, number>;
  readonly runs: Map<string, Run>;
}

/** The water of a lake; what was worked out on it is kept from one plan of the day to the next. */
export class LakeWays {
  readonly water: KnownWater;
  private readonly kept = new Map<string, Ways>();

  /** @param water Without zones. */
  constructor(water: KnownWater) {
    this.water = water;
  }

  /** @param speed m/s on open water. */
  during(zones: readonly Zone[], hours: Hours, speed: number): Ways {
    const key = JSON.stringify([speed, zones.map((zone) => holdsDuring(zone, hours))]);
    let ways = this.kept.get(key);
    if (ways === undefined) {
      const water = withZones(this.water, zones, hours);
      ways = { water, graph: buildGraph(water, speed), seconds: new Map(), runs: new Map() };
      this.kept.set(key, ways);
    }
    return ways;
  }
}
