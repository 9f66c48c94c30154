import { dayLevel, levelShift, spotDays } from './day-level.ts';
import type { LoggedStop } from './day-log.ts';
import { fishPerStop } from './fish-per-stop.ts';
import { learn, withExposures } from './learning.ts';
import type { DayPlanOptions } from './options.ts';
import { patternShift, shiftChance } from './pattern.ts';
import { learnedWeight, meanWeightSpread, spotWeightSpread } from './sizes.ts';
import type { FishingSpot } from './spots.ts';
import type { RestModel } from './stock.ts';

export type Beliefs = ReturnType<typeof believe>;

/** Learns about the spots from confidence and logged stops. @param logged Sorted by date and time. */
export function believe(
  spots: readonly FishingSpot[],
  logged: readonly LoggedStop[],
  { confidence, fish, date }: Pick<DayPlanOptions, 'confidence' | 'fish' | 'date'>,
  rest: RestModel,
) {
  const prior = spots.map(({ note }) => note.confidence ?? confidence);
  const stops = withExposures(spots.length, logged, rest);
  /** Learns what all spots have in common. @param own Spot whose stops are left out. */
  const common = (own?: number) => {
    const theirs = stops.filter(({ spot }) => spot !== own);
    const perStop = fishPerStop(fish, prior, theirs, date);
    return { perStop, level: dayLevel(prior, spotDays(theirs, perStop.fish, date)) };
  };
  const all = common();
  const ofSpots = spots.map((_, spot) => stops.filter((stop) => stop.spot === spot));
  const others = ofSpots.map((own, spot) => (own.length > 0 ? common(spot) : all));
  // A spot's own stops are applied last, so that other spots cannot outweigh a catch at the spot.
  const expected = prior.map((chance, spot) =>
    shiftChance(chance, patternShift(spot, spots, stops, date) + levelShift(others[spot].level, prior, spot)),
  );
  const learned = ofSpots.map((own, spot) => learn(expected[spot], others[spot].perStop.fish, own, date));
  const weighed = ofSpots.map((own) => own.flatMap(({ weights }) => weights));
  return {
    /** By spot: chance that fish bite, 0 to 1. */
    chances: learned.map(({ chance }) => chance),
    /** By spot: mean catch of a long stay if fish bite. */
    fish: learned.map((belief) => belief.fish),
    /** By spot: mean weight of the fish, kg. */
    weights: spots.map(({ weight }, spot) => learnedWeight(weight, weighed[spot])),
    /** By spot: standard deviation of the logarithm of the mean weight. */
    weightSpreads: weighed.map(({ length }) => spotWeightSpread(length)),
    perStop: all.perStop,
    uncertainty: {
      level: all.level.spread,
      fish: all.perStop.spread,
      weight: meanWeightSpread(weighed.flat().length),
    },
  };
}
