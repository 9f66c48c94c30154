import { type Hours, holdsDuring, type Zone } from '../geo/index.ts';
import { type KnownWater, withZones } from './known-water.ts';
import type { Run } from './runs.ts';
import { buildGraph, type Graph } from './water-graph.ts';

/** Water with the zones of some hours, its graph, and what was worked out on it, by `lat,lon` of both ends. */
export interface Ways {
  readonly water: KnownWater;
  readonly graph: Graph;
  readonly seconds: Map<string, number>;
  readonly runs: Map<string, Run>;
}

/** Run times that were worked out on the water of some hours, to be taken elsewhere. */
export interface WorkedRuns {
  /** Of speed and zones. */
  readonly key: string;
  /** `lat,lon` of the places in their order, and s from each to each later one; null where it was not worked out. */
  readonly places: readonly string[];
  readonly seconds: readonly (number | null)[];
}

/** The water of a lake; what was worked out on it is kept from one plan of the day to the next. */
export class LakeWays {
  readonly water: KnownWater;
  private readonly kept = new Map<string, Ways>();
  private readonly given: readonly WorkedRuns[];

  /** @param water Without zones. @param given What `worked` of the same water gave. */
  constructor(water: KnownWater, given: readonly WorkedRuns[] = []) {
    this.water = water;
    this.given = given;
  }

  /** @param speed m/s on open water. */
  during(zones: readonly Zone[], hours: Hours, speed: number): Ways {
    const key = JSON.stringify([speed, zones.map((zone) => holdsDuring(zone, hours))]);
    let ways = this.kept.get(key);
    if (ways === undefined) {
      const water = withZones(this.water, zones, hours);
      ways = { water, graph: buildGraph(water, speed), seconds: this.givenSeconds(key), runs: new Map() };
      this.kept.set(key, ways);
    }
    return ways;
  }

  /** The run times that were worked out up to now. */
  worked(): WorkedRuns[] {
    return [...this.kept].map(([key, { seconds }]) => {
      const ends = [...seconds.keys()].flatMap((pair) => {
        const [lat, lon, toLat, toLon] = pair.split(',');
        return [`${lat},${lon}`, `${toLat},${toLon}`];
      });
      const places = [...new Set(ends)];
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
  places.flatMap((from, at) => places.slice(at + 1).map((to) => `${from},${to}`));
