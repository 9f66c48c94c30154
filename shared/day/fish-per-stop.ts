import { sum } from 'd3-array';
import { afterBlank, type ExposedStop, noFish, seasonWeight } from './learning.ts';

/** Estimated catch of a long stay at a rested spot where fish bite, and the data behind the estimate. */
export interface FishPerStop {
  /** Estimated mean number of fish. */
  readonly fish: number;
  /** Number of fish assumed without a log. */
  readonly assumed: number;
  readonly stops: number;
  readonly caught: number;
  /** Standard deviation of the logarithm of `fish`. */
  readonly spread: number;
}

/** Prior standard deviation of the logarithm of `fish`; judgment. */
const SPREAD = 0.6;
/** Number of logged long stays that count as much as `assumed`; judgment. */
const PRIOR_STAYS = 4;
const ROUNDS = 12;

/**
 * Estimates fish per long stay from the log. The rate is found by expectation maximization over whether fish
 * bit at stops without a catch (Dempster, Laird & Rubin 1977, J. R. Stat. Soc. B 39).
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
