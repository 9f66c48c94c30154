import { normalBelow } from '../math/index.ts';

/** Kilograms in a pound; exact by definition (international pound, 1959). */
export const KG_PER_LB = 0.45359237;

/** Spread of the logarithm of weights at one spot: judgment. */
const WEIGHT_SPREAD = 0.4;

/** Belief about the mean weight at a spot counts as this many fish weighed. */
const PRIOR_FISH = 3;

/** Mean weight over that of an ordinary spot by priority 1, 2, 3: what a high priority usually means. */
const BY_PRIORITY = [1, 1.25, 1.6] as const;
/** The same for words in a note. */
const BY_WORD: readonly (readonly [RegExp, number])[] = [
  [/\b(?:giants?|toads?|huge|lunkers?|monsters?)\b/i, 1.8],
  [/\b(?:good ones?|big (?:ones?|fish)|better (?:ones?|fish)|quality|keepers?|nice (?:ones?|fish))\b/i, 1.35],
  [/\b(?:dinks?|small(?: ones?| fish)?|shorts?|little ones?)\b/i, 0.65],
];

/** A weight of fish: `4 lb`, `3-5lbs`, `2.5 pounds`, `1.8 kg`, `4 lber`; not the test of a line. */
const WEIGHT =
  /(?<![\d.])(\d{1,2}(?:\.\d+)?)(?:\s*(?:-|to)\s*(\d{1,2}(?:\.\d+)?))?\s*-?\s*(lb|lber|pound|pounder|kg)s?\b(?!\s*(?:test|line|fluoro|mono|nylon|braid|leader|mainline))/i;

/** A note with one of these speaks of tackle: its pounds are those of a line. */
const TACKLE =
  /\b(?:divers?|crank(?:bait)?s?|lures?|jigs?|line|leader|fluoro\w*|mono\w*|nylon|braid|reel|spool)\b/i;

/** kg of a text such as `2lb` or `0.9 kg`; undefined for anything else. */
export function parseWeight(text: string): number | undefined {
  const match = /^\s*(\d{1,2}(?:\.\d+)?)\s*(lbs?|pounds?|kg)\s*$/i.exec(text);
  if (match === null) return undefined;
  const weight = Number(match[1]) * (match[2].toLowerCase() === 'kg' ? 1 : KG_PER_LB);
  return weight > 0 ? weight : undefined;
}

/** Mean weight, kg, that a note, else a priority, says of a spot. @param usual kg, of an ordinary spot. */
export function weightBelief(usual: number, priority: number, note: string): number {
  const match = TACKLE.test(note) ? null : WEIGHT.exec(note);
  if (match !== null) {
    const values = [match[1], match[2]].filter((text) => text !== undefined).map(Number);
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    const kilograms = mean * (match[3].toLowerCase() === 'kg' ? 1 : KG_PER_LB);
    // What is noted is the best of what was seen, so the mean is taken between it and an ordinary fish.
    if (kilograms > 0.1 && kilograms < 10) return Math.sqrt(kilograms * usual);
  }
  const word = BY_WORD.find(([pattern]) => pattern.test(note));
  return usual * Math.max(BY_PRIORITY[priority - 1] ?? 1, 1) * (word?.[1] ?? 1);
}

/** Mean weight after fish were weighed or classed, kg: the mean of a log-normal law is above that of its logarithms. */
export function learnedWeight(belief: number, weights: readonly number[]): number {
  const sum = weights.reduce(
    (total, weight) => total + Math.log(weight) + WEIGHT_SPREAD ** 2 / 2,
    PRIOR_FISH * Math.log(belief),
  );
  return Math.exp(sum / (PRIOR_FISH + weights.length));
}

/** Spread of the logarithm of the mean weight at a spot after so many fish of it were weighed or classed. */
export const spotWeightSpread = (weighed: number): number => WEIGHT_SPREAD / Math.sqrt(PRIOR_FISH + weighed);

/** Spread of the logarithm of the mean weight of the lake's fish before any was weighed: judgment. */
const MEAN_SPREAD = 0.25;

/** The same after so many fish were weighed or classed. */
export const meanWeightSpread = (weighed: number): number =>
  1 / Math.sqrt(1 / MEAN_SPREAD ** 2 + weighed / (WEIGHT_SPREAD ** 2 + MEAN_SPREAD ** 2));

/** Weight drawn at a spot, kg. @param normal A standard normal value. */
export const drawnWeight = (mean: number, normal: number): number =>
  mean * Math.exp(WEIGHT_SPREAD * normal - WEIGHT_SPREAD ** 2 / 2);

/**
 * Weight that one more fish of a spot adds to a full bag on average, kg: what it weighs over the lightest of the bag.
 *
 * @param mean kg, at the spot. @param lightest kg; 0 for a bag that is not full. @param keeper kg, the least that counts.
 */
export function gainOver(mean: number, lightest: number, keeper: number): number {
  const least = Math.max(lightest, keeper);
  if (least <= 0) return mean;
  const d = (Math.log(mean / least) + WEIGHT_SPREAD ** 2 / 2) / WEIGHT_SPREAD;
  return Math.max(0, mean * normalBelow(d) - lightest * normalBelow(d - WEIGHT_SPREAD));
}
