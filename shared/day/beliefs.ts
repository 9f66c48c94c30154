import { dayLevel, levelShift, spotDays } from './day-level.ts';
import type { LoggedStop } from './day-log.ts';
import { type FishPerStop, fishPerStop } from './fish-per-stop.ts';
import { exposuresOf, learn } from './learning.ts';
import type { DayPlanOptions } from './options.ts';
import type { Uncertainty } from './outlook.ts';
import { patternShift, shiftChance } from './pattern.ts';
import type { RestModel, TakenStock } from './problem.ts';
import { learnedWeight, meanWeightSpread, spotWeightSpread } from './sizes.ts';
import type { FishingSpot } from './spots.ts';

/** Beliefs about all spots of a lake on a day, before and after what was logged. */
export interface Beliefs {
  /**
   * By spot: chance that fish bite; fish of a long stay if they do; mean weight, kg, and the spread of its logarithm.
   */
  readonly chances: readonly number[];
  readonly fish: readonly number[];
  readonly weights: readonly number[];
  readonly weightSpreads: readonly number[];
  /** Stock taken by the stops on the day of the plan. */
  readonly taken: TakenStock;
  readonly perStop: FishPerStop;
  readonly uncertainty: Uncertainty;
}

/** Beliefs from the user's confidence and the stops of all logged days. @param stops Sorted by date and time. */
export function believe(
  spots: readonly FishingSpot[],
  stops: readonly LoggedStop[],
  { confidence, fish, date }: Pick<DayPlanOptions, 'confidence' | 'fish' | 'date'>,
  rest: RestModel,
): Beliefs {
  const prior = spots.map(({ note }) => note.confidence ?? confidence);
  const exposures = exposuresOf(spots.length, stops, rest);
  /** What stops say about all spots in common. A fished spot excludes its own stops, which are counted separately. */
  const common = (own?: number) => {
    const used = stops.map((_, at) => at).filter((at) => stops[at].spot !== own);
    const [theirs, their] = [used.map((at) => stops[at]), used.map((at) => exposures[at])];
    const perStop = fishPerStop(fish, prior, theirs, their, date, rest);
    return { perStop, level: dayLevel(prior, spotDays(theirs, their, perStop.fish, date, rest)) };
  };
  const all = common();
  const fished = new Set(stops.map(({ spot }) => spot));
  const others = spots.map((_, spot) => (fished.has(spot) ? common(spot) : all));
  // A spot's own stops come last: fish caught there prove it, however dead the rest of the lake is.
  const expected = prior.map((chance, spot) =>
    shiftChance(chance, patternShift(spot, spots, stops, date) + levelShift(others[spot].level, prior, spot)),
  );
  const ratesOfOthers = others.map(({ perStop }) => perStop.fish);
  const learned = learn(expected, ratesOfOthers, stops, exposures, date, rest);
  const weighed = spots.map((_, spot) =>
    stops.filter((stop) => stop.spot === spot).flatMap(({ weights }) => weights),
  );
  return {
    chances: learned.beliefs.map(({ chance }) => chance),
    fish: learned.beliefs.map((belief) => belief.fish),
    weights: spots.map(({ weight }, spot) => learnedWeight(weight, weighed[spot])),
    weightSpreads: weighed.map(({ length }) => spotWeightSpread(length)),
    taken: learned.taken,
    perStop: all.perStop,
    uncertainty: {
      level: all.level.spread,
      fish: all.perStop.spread,
      weight: meanWeightSpread(weighed.flat().length),
    },
  };
}
