import { KG_PER_LB, weightBelief } from '../../shared/day/sizes.ts';
import {
  type SimulatedCatch,
  SimulatedFish,
  START,
  simulatedWorld,
  type WorldKind,
} from '../day/simulated-world.ts';

/** Powers of the expected weight in the score of a spot. */
const EXPONENTS = [0, 1, 2] as const;
/** Time from one stop to the next, s. */
const BETWEEN = 480;
/** Length of a stay, s. */
const STAY = 2400;
/** Time without a bite after which a spot is left, s. */
const GIVE_UP = 720;
const END = 14.3 * 3600;

/**
 * Returns the weight of the best five, lb, by exponent and day. The spots are fished in order of confidence
 * times a power of the weight that their texts suggest. Without learning and with equal travel times, only
 * the effect of words about size remains.
 *
 * @param bagOf Weight of the best five of a catch, lb.
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
