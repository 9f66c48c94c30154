import { KG_PER_LB, weightBelief } from '../../shared/day/sizes.ts';
import {
  type SimulatedCatch,
  SimulatedFish,
  START,
  simulatedWorld,
  type WorldKind,
} from '../day/simulated-world.ts';

/** How strongly the size that is expected counts beside the chance: not at all, in proportion, squared. */
const EXPONENTS = [0, 1, 2] as const;
/** s from one stop to the next, and of a stay; a spot without a bite is left as the plan would. */
const BETWEEN = 480;
const STAY = 2400;
const GIVE_UP = 720;
const END = 14.3 * 3600;

/**
 * lb of the best five by exponent and day, of days that go down the list of spots by confidence times a power of the weight
 * that note and priority promise. Nothing is learned and no way is long: what is left is what words for sizes can bring.
 *
 * @param bagOf lb of the best five of a catch.
 */
export function bagsBySize(
  kind: WorldKind,
  days: readonly number[],
  bagOf: (caught: readonly SimulatedCatch[]) => number,
): { exponent: number; bags: number[] }[] {
  return EXPONENTS.map((exponent) => ({
    exponent,
    bags: days.map((day) => bagOf(fishedByList(kind, day, exponent))),
  }));
}

function fishedByList(kind: WorldKind, day: number, exponent: number): SimulatedCatch[] {
  const world = simulatedWorld(kind, day);
  const usual = 2 * KG_PER_LB;
  const scores = world.waypoints.map(({ waypoint }, spot) => {
    const words = `${waypoint.name}; ${waypoint.comment}; ${waypoint.description}`;
    const size = weightBelief(usual, 1, words) / usual;
    return Number(world.marks.rows[spot].values.confidence) * size ** exponent;
  });
  const order = scores.map((_, spot) => spot).sort((a, b) => scores[b] - scores[a]);
  const fish = new SimulatedFish(world);
  const caught: SimulatedCatch[] = [];
  let time = START;
  for (const spot of order) {
    const stop = fish.fish(spot, 0, time + BETWEEN, STAY, GIVE_UP);
    time = stop.end;
    if (time > END) break;
    caught.push(...stop.caught);
  }
  return caught;
}
