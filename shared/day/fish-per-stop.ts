import type { LoggedStop } from './day-log.ts';
import { afterBlank, blankChance, seasonWeight } from './learning.ts';
import type { RestModel } from './problem.ts';

/** Number of fish from a long stay at a rested spot where fish bite, and the data behind it. */
export interface FishPerStop {
  readonly fish: number;
  /** Value assumed before the log. */
  readonly assumed: number;
  /** Number of logged stops and of their fish. */
  readonly stops: number;
  readonly caught: number;
  /** Standard deviation of the logarithm of `fish`. */
  readonly spread: number;
}

/** Standard deviation of the logarithm of the assumed value; judgment. */
const SPREAD = 0.6;

/** Number of long stays that the assumed value counts for; judgment. */
const PRIOR_STAYS = 4;
const ROUNDS = 12;

/**
 * Fish per long stay from the log of the lake: the most probable rate, by expectation maximization over whether fish
 * bit at a stop without a catch (Dempster, Laird & Rubin 1977, J. R. Stat. Soc. B 39).
 *
 * @param chances Chance by spot. @param exposures Exposures of the stops, s. @param date Day of the plan; older days
 * count less.
 */
export function fishPerStop(
  assumed: number,
  chances: readonly number[],
  stops: readonly LoggedStop[],
  exposures: readonly number[],
  date: string,
  rest: RestModel,
): FishPerStop {
  const weights = stops.map((stop) => seasonWeight(stop.date, date));
  let fish = assumed;
  let spread = SPREAD;
  for (let round = 0; round < ROUNDS; round++) {
    let [caught, stays] = [PRIOR_STAYS * assumed, PRIOR_STAYS];
    stops.forEach((stop, at) => {
      const chance = chances[stop.spot];
      const blank = blankChance(exposures[at], fish, rest);
      const bites = stop.fish > 0 ? 1 : afterBlank(chance, blank);
      const weight = weights[at] * bites;
      caught += weight * stop.fish;
      stays += (weight * exposures[at]) / rest.theta;
    });
    fish = caught / stays;
    // Logged stays count together with the assumed ones, each with the spread of one spot's rate.
    spread = SPREAD * Math.sqrt(PRIOR_STAYS / stays);
  }
  return {
    fish,
    assumed,
    stops: stops.length,
    caught: stops.reduce((sum, stop) => sum + stop.fish, 0),
    spread,
  };
}
