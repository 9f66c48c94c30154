import { sum } from 'd3-array';
import { normalBelow } from '../math/index.ts';

/** Kilograms in a pound; exact by definition (international pound, 1959). */
export const KG_PER_LB = 0.45359237;

/** Standard deviation of the logarithm of a fish's weight at one spot; judgment. */
const WEIGHT_SPREAD = 0.4;

/** Number of logged fish that count as much as a spot's prior mean weight; judgment. */
const PRIOR_FISH = 3;

/** Mean weight at priority 1, 2 and 3, as a multiple of the weight at an ordinary spot; judgment. */
const BY_PRIORITY = [1, 1.25, 1.6] as const;
/** Mean weight by words in a note, as a multiple of the weight at an ordinary spot; judgment. */
const BY_WORD: readonly (readonly [RegExp, number])[] = [
  [/\b(?:giants?|toads?|huge|lunkers?|monsters?)\b/i, 1.8],
  [/\b(?:good ones?|big (?:ones?|fish)|better (?:ones?|fish)|quality|keepers?|nice (?:ones?|fish))\b/i, 1.35],
  [/\b(?:dinks?|small(?: ones?| fish)?|shorts?|little ones?)\b/i, 0.65],
];

/** A weight of fish: `4 lb`, `3-5lbs`, `2.5 pounds`, `1.8 kg`, `4 lber`; not the rating of a line. */
const WEIGHT =
  /(?<![\d.])(\d{1,2}(?:\.\d+)?)(?:\s*(?:-|to)\s*(\d{1,2}(?:\.\d+)?))?\s*-?\s*(lb|lber|pound|pounder|kg)s?\b(?!\s*(?:test|line|fluoro|mono|nylon|braid|leader|mainline))/i;

/** Words for tackle. A weight in a note with such a word is not read: it may be the rating of a line. */
const TACKLE =
  /\b(?:divers?|crank(?:bait)?s?|lures?|jigs?|line|leader|fluoro\w*|mono\w*|nylon|braid|reel|spool)\b/i;

/** Parses a weight such as `2lb` or `0.9 kg`. @returns kg; undefined for a weight of 0 or any other text. */
export function parseWeight(text: string): number | undefined {
  const match = /^\s*(\d{1,2}(?:\.\d+)?)\s*(lbs?|pounds?|kg)\s*$/i.exec(text);
  const weight = match === null ? 0 : Number(match[1]) * kilogramsPer(match[2]);
  return weight > 0 ? weight : undefined;
}

const kilogramsPer = (unit: string): number => (unit.toLowerCase() === 'kg' ? 1 : KG_PER_LB);

/** Returns the mean weight at a spot, kg, by note and priority. @param usual Mean at an ordinary spot, kg. */
export function weightBelief(usual: number, priority: number, note: string): number {
  const match = TACKLE.test(note) ? null : WEIGHT.exec(note);
  if (match !== null) {
    const kilograms = ((Number(match[1]) + Number(match[2] ?? match[1])) / 2) * kilogramsPer(match[3]);
    // A note usually tells of the best fish, so its weight is averaged (geometrically) with the usual weight.
    if (kilograms > 0.1 && kilograms < 10) return Math.sqrt(kilograms * usual);
  }
  const word = BY_WORD.find(([pattern]) => pattern.test(note));
  return usual * BY_PRIORITY[priority - 1] * (word?.[1] ?? 1);
}

/**
 * Updates the mean weight of the fish at a spot, kg, with fish whose size was logged. Half the variance is
 * added to each logarithm, because a log-normal mean exceeds the exponential of the mean logarithm.
 *
 * @param belief Mean weight before, kg. @param weights Weights of the logged fish, kg.
 */
export function learnedWeight(belief: number, weights: readonly number[]): number {
  const logs = sum(weights, (weight) => Math.log(weight) + WEIGHT_SPREAD ** 2 / 2);
  return Math.exp((PRIOR_FISH * Math.log(belief) + logs) / (PRIOR_FISH + weights.length));
}

/** Returns the standard deviation of ln(mean weight of a spot's fish) after `weighed` fish. */
export const spotWeightSpread = (weighed: number): number => WEIGHT_SPREAD / Math.sqrt(PRIOR_FISH + weighed);

/** Prior standard deviation of ln(mean weight of the lake's fish); judgment. */
const MEAN_SPREAD = 0.25;

/** Returns the standard deviation of ln(mean weight of the lake's fish) after `weighed` fish. */
export const meanWeightSpread = (weighed: number): number =>
  1 / Math.sqrt(1 / MEAN_SPREAD ** 2 + weighed / (WEIGHT_SPREAD ** 2 + MEAN_SPREAD ** 2));

/** Returns the log-normal weight of a drawn fish, kg. @param mean kg. @param normal Standard normal draw. */
export const drawnWeight = (mean: number, normal: number): number =>
  mean * Math.exp(WEIGHT_SPREAD * normal - WEIGHT_SPREAD ** 2 / 2);

/**
 * Returns the mean weight that one more fish of a spot adds to the bag, kg. A fish heavier than `lightest`
 * and `keeper` adds its weight minus `lightest`; a lighter fish adds nothing.
 *
 * @param mean Mean weight at the spot, kg.
 * @param lightest Lightest fish in the full bag, kg; 0 if the bag is not full.
 * @param keeper Minimum weight that counts, kg.
 */
export function gainOver(mean: number, lightest: number, keeper: number): number {
  const least = Math.max(lightest, keeper);
  if (least <= 0) return mean;
  const d = (Math.log(mean / least) + WEIGHT_SPREAD ** 2 / 2) / WEIGHT_SPREAD;
  return Math.max(0, mean * normalBelow(d) - lightest * normalBelow(d - WEIGHT_SPREAD));
}
