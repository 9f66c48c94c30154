import type { CsvFile } from '../../shared/contract/options.ts';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { KG_PER_LB } from '../../shared/day/sizes.ts';
import { seededRandom } from '../../shared/math/statistics.ts';
import { enrichedMark, placeText } from './lake.ts';

/** Kinds of simulated days, by what decides where and when fish bite. */
export const WORLDS = [
  'as the tool supposes',
  'confidence says nothing',
  'one pattern',
  'most spots dead',
  'feeding windows',
] as const;
export type WorldKind = (typeof WORLDS)[number];

/** A lake as the user knows it, with the true fish. */
export interface SimulatedWorld {
  readonly waypoints: readonly EnrichedWaypoint[];
  readonly marks: CsvFile;
  readonly ramp: string;
  readonly spots: readonly TrueSpot[];
  /** Factor on the bite rate at a time, s of the day. */
  readonly appetite: (time: number) => number;
  readonly seed: number;
}

/** True state of a spot on the simulated day. */
export interface TrueSpot {
  /** Number of fish there at the start, 0 at a dead spot. */
  readonly school: number;
  /** Time within which one fish bites with a probability of 63 %, s. */
  readonly patience: number;
  /** Time when the fish arrive, s of the day. */
  readonly from: number;
  /** Time when the fish leave, s of the day. */
  readonly to: number;
  /** Factors on the bite rate of the deep and the shallow side. */
  readonly sides: readonly [number, number];
  /** Mean weight, kg. */
  readonly weight: number;
}

const SPOTS = 40;
/** Side of the lake, m. */
const LAKE = 9000;
/** Standard deviation of the spots in a group, east and north, m. */
const GROUP = 500;
const STRUCTURES = ['ledge', 'point', 'hump', 'ditch'] as const;
/** Middles of the 5 ft depth bands in which spots lie, m. */
const DEPTHS = [2.3, 3.8, 5.3, 6.8] as const;
export const START = 6.5 * 3600;
export const CHECK_IN = 14 * 3600 + 2400;
const NOTES = ['', '', '', 'small ones', 'good ones', '4 lb'] as const;
/** True mean weight by note, relative to an ordinary fish of 2 lb; a note of 4 lb stands for 3 lb. */
const BY_NOTE: Readonly<Record<string, number>> = {
  '': 1,
  'small ones': 0.7,
  'good ones': 1.35,
  '4 lb': 1.5,
};

/**
 * Makes a day in a simulated world. Unlike in the planner's model, a spot has a school of whole fish, which
 * bite in flurries. The boat scares some fish; fish caught or scared come back one by one within four hours.
 * At some spots the fish arrive or leave during the day. Bite rate, number of fish and the second side differ
 * from spot to spot.
 */
export function simulatedWorld(kind: WorldKind, seed: number): SimulatedWorld {
  const random = seededRandom(seed * 15_485_863 + 7 * WORLDS.indexOf(kind) + 1);
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const between = (least: number, most: number): number => least + (most - least) * random();
  const middles = Array.from({ length: 6 }, () => [between(0, LAKE), between(0, LAKE)]);
  const good = { structure: pickOf(STRUCTURES, random), depth: pickOf(DEPTHS, random) };
  const windows = [between(START, START + 12_000), between(START + 14_000, CHECK_IN - 3600)];
  const waypoints: EnrichedWaypoint[] = [];
  const spots: TrueSpot[] = [];
  const rows: Record<string, string>[] = [];
  for (let index = 0; index < SPOTS; index++) {
    const [east, north] = middles[index % middles.length].map((middle) => middle + GROUP * normal());
    const structure = pickOf(STRUCTURES, random);
    const depth = pickOf(DEPTHS, random);
    const note = pickOf(NOTES, random);
    const said = 0.05 + 0.85 * random() * Math.sqrt(random());
    const alike = Number(structure === good.structure) + Number(depth === good.depth);
    const chance = {
      'as the tool supposes': said,
      'confidence says nothing': 0.38,
      'one pattern': [0.1, 0.4, 0.85][alike],
      'most spots dead': 0.3 * said,
      'feeding windows': said,
    }[kind];
    const bites = random() < chance;
    const other = between(0.3, 1);
    waypoints.push(
      enrichedMark({ index, east, north, contact: between(3, 15), upslope: other, structure, depth, note }),
    );
    rows.push({ mark: `M${index + 1}`, confidence: said.toFixed(2) });
    spots.push({
      school: bites ? 1 + Math.floor(10 * random() * random() + 6 * random()) : 0,
      patience: 1080 * Math.exp(0.4 * normal()),
      from: random() < 0.2 ? between(START, CHECK_IN) : Number.NEGATIVE_INFINITY,
      to: random() < 0.2 ? between(START, CHECK_IN) : Number.POSITIVE_INFINITY,
      sides: [1, Math.min(1.3, other * Math.exp(0.3 * normal()))],
      weight: 2 * KG_PER_LB * BY_NOTE[note] * Math.exp(0.25 * normal()),
    });
  }
  return {
    waypoints,
    marks: {
      file: 'marks.csv',
      header: ['mark', 'confidence'],
      rows: rows.map((values, at) => ({ line: at + 2, values })),
    },
    ramp: placeText(between(0, LAKE), between(0, LAKE)),
    spots,
    appetite: (time) =>
      kind !== 'feeding windows'
        ? 1
        : windows.some((from) => time >= from && time < from + 4500)
          ? 2.5
          : 0.35,
    seed,
  };
}

const pickOf = <T>(values: readonly T[], random: () => number): T =>
  values[Math.floor(random() * values.length)];

/** One fish, with time in s of the day and weight in kg. */
export interface SimulatedCatch {
  readonly time: number;
  readonly weight: number;
}

/** State of the fish on one day, changed by fishing. */
export class SimulatedFish {
  private readonly world: SimulatedWorld;
  /** By spot, times when the fish that were caught or scared return, s of the day. */
  private readonly away: number[][];
  private readonly visits: number[];

  constructor(world: SimulatedWorld) {
    this.world = world;
    this.away = world.spots.map(() => []);
    this.visits = world.spots.map(() => 0);
  }

  /**
   * Fishes a spot minute by minute. Luck depends only on world, spot and visit, so all policies have the same
   * luck.
   *
   * @param from Time of the first cast, s of the day.
   * @param giveUp Time without a bite after which the boat leaves, s; Infinity to stay.
   * @returns The fish caught, and the time when the boat leaves, s of the day.
   */
  fish(
    spot: number,
    side: 0 | 1,
    from: number,
    stay: number,
    giveUp: number,
  ): { caught: SimulatedCatch[]; end: number } {
    const { spots, appetite, seed } = this.world;
    const { school, patience, sides, weight, from: comes, to: goes } = spots[spot];
    const random = seededRandom(seed * 32_452_843 + spot * 101 + this.visits[spot]++);
    const normal = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    const away = this.away[spot];
    const caught: SimulatedCatch[] = [];
    let isHot = random() < 0.5;
    let bite = from;
    for (let time = from; time < from + stay; time += 60) {
      if (random() < 0.1) isHot = !isHot;
      const chance = 1 - Math.exp((-60 / patience) * (isHot ? 1.7 : 0.3) * sides[side] * appetite(time));
      const here = time < comes || time > goes ? 0 : school - away.filter((back) => back > time).length;
      for (let fish = 0; fish < here; fish++) {
        if (random() >= chance) continue;
        caught.push({ time, weight: weight * Math.exp(0.4 * normal() - 0.08) });
        away.push(time + 1800 + 12_600 * random());
        bite = time;
      }
      // With a chance of 3 % a minute, the boat scares a fish.
      if (here > 0 && random() < 0.03) away.push(time + 600 + 3600 * random());
      if (time + 60 - bite >= giveUp) return { caught, end: time + 60 };
    }
    return { caught, end: from + stay };
  }
}
