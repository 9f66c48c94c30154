import { mean, sum } from 'd3-array';
import { groupBy } from 'es-toolkit/array';
import { afterBlank, dayWeight, type ExposedStop, noFish } from './learning.ts';
import { logit } from './pattern.ts';

/** Prior standard deviation of the level in `dayLevel`; judgment. */
const LEVEL_SPREAD = 1.2;
/** Prior standard deviation of the slope in `dayLevel`; judgment. */
const SLOPE_SPREAD = 0.5;
const ROUNDS = 8;

type SpotDay = ReturnType<typeof spotDays>[number];

/**
 * Groups the logged stops by spot and day.
 *
 * @param fish Mean catch of a long stay at a rested spot where fish bite. @param date Day of the plan.
 */
export const spotDays = (stops: readonly ExposedStop[], fish: number, date: string) =>
  Object.values(groupBy(stops, (stop) => `${stop.spot} ${stop.date}`)).map((day) => {
    const hasFish = day.some((stop) => stop.fish > 0);
    const exposure = sum(day, (stop) => stop.exposure);
    const [{ spot, date: logged }] = day;
    /** Chance of catching nothing that day if fish bite; 1, unused, when fish were caught. */
    const blank = hasFish ? 1 : noFish(exposure * fish);
    return { spot, hasFish, blank, weight: dayWeight(logged, date) };
  });

/**
 * Corrects the user's confidence by the days fished: the log-odds u of a spot become
 * u + level + slope (u - mean of u over all spots).
 *
 * Level and slope are the most probable values under normal priors with mean 0. They are found by expectation
 * maximization over whether fish bit on days without a catch, with one Newton step per round.
 *
 * @param prior Chance by spot from the user's confidence.
 * @param days Days at spots. To correct one spot, leave out its own days, because `learn` counts them.
 * @returns `level`: positive when fish bite at more spots than expected. `slope`: at least -1, positive when
 * spots differ more than the user's confidence says. `spread`: posterior standard deviation of the level.
 */
export function dayLevel(prior: readonly number[], days: readonly SpotDay[]) {
  const middle = middleOf(prior);
  let [level, slope, spread] = [0, 0, LEVEL_SPREAD];
  for (let round = 0; round < ROUNDS; round++) {
    let [gradientL, gradientS] = [-level / LEVEL_SPREAD ** 2, -slope / SLOPE_SPREAD ** 2];
    let [curveL, curveLS, curveS] = [1 / LEVEL_SPREAD ** 2, 0, 1 / SLOPE_SPREAD ** 2];
    for (const { spot, hasFish, blank, weight } of days) {
      const own = logit(prior[spot]);
      const z = own - middle;
      const chance = 1 / (1 + Math.exp(-(own + level + slope * z)));
      const bites = hasFish ? 1 : afterBlank(chance, blank);
      const miss = weight * (bites - chance);
      const curve = weight * chance * (1 - chance);
      gradientL += miss;
      gradientS += miss * z;
      curveL += curve;
      curveLS += curve * z;
      curveS += curve * z * z;
    }
    const determinant = curveL * curveS - curveLS ** 2;
    level += (curveS * gradientL - curveLS * gradientS) / determinant;
    slope = Math.max(-1, slope + (curveL * gradientS - curveLS * gradientL) / determinant);
    spread = Math.sqrt(curveS / determinant);
  }
  return { level, slope, spread };
}

/** Returns what level and slope add to the log-odds of a spot. */
export const levelShift = (
  { level, slope }: ReturnType<typeof dayLevel>,
  prior: readonly number[],
  spot: number,
): number => level + slope * (logit(prior[spot]) - middleOf(prior));

const middleOf = (prior: readonly number[]): number => mean(prior, logit) ?? 0;
