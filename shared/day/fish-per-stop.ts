import type { LoggedStop } from './day-log.ts';
import { blankChance, seasonWeight } from './learning.ts';
import type { RestModel } from './problem.ts';

/** How many fish a long stay at a rested spot gives where fish bite, and from what. */
export interface FishPerStop {
  readonly fish: number;
  /** What was supposed before the log. */
  readonly supposed: number;
  /** Logged stops and their fish. */
  readonly stops: number;
  readonly caught: number;
  /** Standard deviation of the logarithm of `fish`. */
  readonly spread: number;
}

/** Of the logarithm of what is supposed; judgment. */
const SPREAD = 0.6;

/** What is supposed beforehand counts as so many long stays; judgment. */
const PRIOR_STAYS = 4;
const ROUNDS = 12;

/**
 * Fish of a long stay from the log of the lake: the most probable rate, by expectation maximization over whether fish bit
 * at all at a stop without one (Dempster, Laird & Rubin 1977, J. R. Stat. Soc. B 39).
 *
 * @param chances By spot. @param exposures Of the stops, s. @param date Day of the plan; older days count less.
 */
export function fishPerStop(
  supposed: number,
  chances: readonly number[],
  stops: readonly LoggedStop[],
  exposures: readonly number[],
  date: string,
  rest: RestModel,
): FishPerStop {
  const weights = stops.map((stop) => seasonWeight(stop.date, date));
  let fish = supposed;
  let spread = SPREAD;
  for (let round = 0; round < ROUNDS; round++) {
    let [caught, stays] = [PRIOR_STAYS * supposed, PRIOR_STAYS];
    stops.forEach((stop, at) => {
      const chance = chances[stop.spot];
      const blank = blankChance(exposures[at], fish, rest);
      const bites = stop.fish > 0 ? 1 : (chance * blank) / (1 - chance + chance * blank);
      const weight = weights[at] * bites;
      caught += weight * stop.fish;
      stays += (weight * exposures[at]) / rest.theta;
    });
    fish = caught / stays;
    // Stays counted beside those that are supposed, each with the spread of one spot's rate.
    spread = SPREAD * Math.sqrt(PRIOR_STAYS / stays);
  }
  return {
    fish,
    supposed,
    stops: stops.length,
    caught: stops.reduce((sum, stop) => sum + stop.fish, 0),
    spread,
  };
}
