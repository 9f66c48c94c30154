import { type DepthSummary, METERS_PER, type Unseen } from '../contract/index.ts';
import { normalBelow } from '../math/index.ts';
import { forSlope, missedFormChance, normalDensity } from './unseen.ts';

/** One component of a mixture: weight, mean in m, variance in m^2. */
interface Part {
  readonly weight: number;
  readonly mean: number;
  readonly variance: number;
}

/** Distribution of a depth: a mixture of normal distributions whose weights add up to 1. */
export type DepthMixture = readonly Part[];

/** Standard deviation of a depth read from the screen of a sonar, m. */
export const SCREEN_SD = 0.15;

/** A depth recorded in the mark itself. */
export interface MarkSounding {
  /** Depth below the plan's water surface, m. */
  readonly depth: number;
  /** Standard deviation of the depth at the recorded position, m. */
  readonly sd: number;
  /** False when the unit of the depth was assumed. */
  readonly isUnitKnown: boolean;
}

/**
 * Standard deviation added in quadrature to every part, m, so that no depth counts as exact. Without
 * `hidden`, `mixtureOf` does not add it.
 */
const LEAST = 0.03;
/** Standard deviation of a place's position relative to the passes, m; fitted with `SLOPE` of `unseen.ts`. */
const POSITION_SD = 0.75;
const TAIL = 0.025;
const NINETY_FIVE = 1.96;
/** Chance that feet were read as meters, with a known or assumed unit; the reverse is as likely. */
const WRONG_UNIT = { known: 0.02, assumed: 0.1 };
/** Chance that the recorded depth has little to do with the ground at the mark. */
const CARELESS = 0.03;
const CARELESS_SD = 4;
/** Chance of ground unlike anything the passes suggest, and the standard deviation of its depth, m. */
const STRAY = { chance: 0.001, sd: 3 };

/** Sources of uncertainty beyond the process's own standard deviation. */
export interface DepthUncertainty {
  /** What the lake hides, with the distance to the nearest block, m, and the length of the gradient, m/m. */
  readonly hidden?: { readonly unseen: Unseen; readonly distance: number; readonly gradient: number };
  /** As `PriorKnowledge.levelSd`. */
  readonly level?: number;
}

/** Returns the distribution of a depth from the passes alone. @param sd Calibrated standard deviation, m. */
export function mixtureOf(
  depth: number,
  sd: number,
  { hidden, level = 0 }: DepthUncertainty = {},
): DepthMixture {
  if (hidden === undefined) return [{ weight: 1, mean: depth, variance: sd ** 2 + level ** 2 }];
  const { unseen, distance, gradient } = hidden;
  const seen = (unseen.factor * forSlope(sd, gradient)) ** 2 + (POSITION_SD * gradient) ** 2;
  const variance = seen + LEAST ** 2 + level ** 2;
  const q = missedFormChance(unseen, distance);
  return [
    { weight: 1 - q, mean: depth, variance },
    { weight: q, mean: depth, variance: variance + unseen.size ** 2 },
  ];
}

export function momentsOf(mixture: DepthMixture): { mean: number; sd: number } {
  let mean = 0;
  for (const part of mixture) mean += part.weight * part.mean;
  let square = 0;
  for (const part of mixture) square += part.weight * (part.variance + (part.mean - mean) ** 2);
  return { mean, sd: Math.sqrt(square) };
}

/**
 * Returns the mean, standard deviation and 95 % interval of a mixture, m. If necessary, raises the standard
 * deviation until mean +- 1.96 standard deviations covers the interval.
 */
export function summarize(mixture: DepthMixture): DepthSummary {
  const { mean, sd } = momentsOf(mixture);
  if (mixture.length === 1)
    return { depth: mean, depthSd: sd, interval: [mean - NINETY_FIVE * sd, mean + NINETY_FIVE * sd] };
  const interval = [quantile(mixture, TAIL), quantile(mixture, 1 - TAIL)] as const;
  const wide = Math.max(mean - interval[0], interval[1] - mean) / NINETY_FIVE;
  return { depth: mean, depthSd: Math.max(sd, wide), interval };
}

/**
 * Updates a mixture with the mark's own depth, taken as a sounding.
 *
 * The mark's depth may be in the wrong unit, or have little to do with the ground. Products of normal
 * densities are normal, so the result is exact and needs no sampling.
 *
 * @param sd Standard deviation of the mark's depth, m, with the effect of the mark's position error.
 */
export function withMarkDepth(
  passes: DepthMixture,
  { depth, isUnitKnown }: MarkSounding,
  sd: number,
): DepthMixture {
  const wrong = isUnitKnown ? WRONG_UNIT.known : WRONG_UNIT.assumed;
  const readings = [
    { chance: 1 - 2 * wrong - CARELESS, value: depth, noise: sd ** 2 },
    { chance: wrong, value: depth * METERS_PER.ft, noise: sd ** 2 },
    { chance: wrong, value: depth / METERS_PER.ft, noise: sd ** 2 },
    { chance: CARELESS, value: depth, noise: CARELESS_SD ** 2 },
  ];
  const stray = { weight: STRAY.chance, mean: passes[0].mean, variance: STRAY.sd ** 2 };
  const joint = [...passes, stray].flatMap((part) =>
    readings.map(({ chance, value, noise }) => {
      const total = part.variance + noise;
      return {
        weight: part.weight * chance * normalDensity(value - part.mean, total),
        mean: part.mean + (part.variance / total) * (value - part.mean),
        variance: (part.variance * noise) / total,
      };
    }),
  );
  const total = joint.reduce((sum, { weight }) => sum + weight, 0);
  // If all likelihoods underflow to 0, the mark's depth is ignored.
  if (!(total > 0)) return passes;
  return joint.map(({ weight, mean, variance }) => ({
    weight: weight / total,
    mean,
    variance: variance + LEAST ** 2,
  }));
}

function quantile(mixture: DepthMixture, share: number): number {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const { mean, variance } of mixture) {
    low = Math.min(low, mean - 6 * Math.sqrt(variance));
    high = Math.max(high, mean + 6 * Math.sqrt(variance));
  }
  while (high - low > 1e-4) {
    const middle = (low + high) / 2;
    const under = mixture.reduce(
      (sum, part) => sum + part.weight * normalBelow((middle - part.mean) / Math.sqrt(part.variance)),
      0,
    );
    if (under < share) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
