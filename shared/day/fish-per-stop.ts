import { sum } from 'd3-array';
import { afterBlank, type ExposedStop, noFish, seasonWeight } from './learning.ts';

/** Number of fish from a long stay at a rested spot where fish bite, and the data behind it. */
export interface FishPerStop {
  readonly fish: number;
  /** Number of fish assumed without a log. */
  readonly assumed: number;
  /** Number of logged stops. */
  readonly stops: number;
  /** Number of fish caught at the logged stops. */
  readonly caught: number;
  /** Standard deviation of the logarithm of `fish`. */
  readonly spread: number;
}

/** Standard deviation of the logarithm of `assumed`; judgment. */
const SPREAD = 0.6;
/** Number of long stays that `assumed` counts for; judgment. */
const PRIOR_STAYS = 4;
/** Rounds of expectation maximization. */
const ROUNDS = 12;

/**
 * Estimates fish per long stay from the log: the most probable rate, by expectation maximization over whether
 * fish bit at stops without a catch (Dempster, Laird & Rubin 1977, J. R. Stat. Soc. B 39).
 *
 * @param assumed Fish per long stay without a log. @param chances Chance that fish bite, by spot.
 * @param date Day of the plan; older days count less.
 */
export function fishPerStop(
  assumed: number,
  chances: readonly number[],
  stops: readonly ExposedStop[],
  date: string,
): FishPerStop {
  let [fish, spread] = [assumed, SPREAD];
  for (let round = 0; round < ROUNDS; round++) {
    let [caught, stays] = [PRIOR_STAYS * assumed, PRIOR_STAYS];
    for (const stop of stops) {
      const bites = stop.fish > 0 ? 1 : afterBlank(chances[stop.spot], noFish(stop.exposure * fish));
      const weight = seasonWeight(stop.date, date) * bites;
      caught += weight * stop.fish;
      stays += weight * stop.exposure;
    }
    fish = caught / stays;
    spread = SPREAD * Math.sqrt(PRIOR_STAYS / stays);
  }
  return { fish, assumed, stops: stops.length, caught: sum(stops, (stop) => stop.fish), spread };
}
