import type { Unseen } from '../contract/index.ts';

/** Outcome of predicting a place without its own pass: the evidence for what a lake hides between passes. */
export interface LeftOutError {
  /** Measured minus predicted depth, m. */
  readonly error: number;
  /** The model's own standard deviation there, m, scaled for the slope of the ground (`forSlope`). */
  readonly sd: number;
  /** Distance to the nearest block of another pass, m. */
  readonly distance: number;
  /** Error variance of the left-out pass itself, m^2, from bias, noise and position offset. */
  readonly own: number;
  /** True for a place among those with the greatest curvature or prominence along the passes, as marks are. */
  readonly isMarkLike: boolean;
}

/** Medians of the log-normal prior, which holds before any pass is left out. */
const USUAL: Unseen = { factor: 0.9, size: 0.5, rate: 0.03 };
/** Standard deviations of the logarithms in the prior. */
const SPREAD: Unseen = { factor: 0.4, size: 1, rate: 1 };
const KEYS = ['factor', 'size', 'rate'] as const;
/** Share of the weight that mark-like places get: marks are not dropped at random. */
const MARK_SHARE = 0.85;
/** Weight of a place against the prior: neighboring places do not err independently. */
const INDEPENDENT = 0.75;
/** Distance beyond which a missed form gets no likelier, m: farther away, another form would begin. */
const FURTHEST = 25;
const POWER = 1.5;
/**
 * Factor on the standard deviation: a power of the gradient, m/m, and about 1 at `usual`. Steep ground
 * departs from the model more than even ground of the same standard deviation. Fitted at marks on simulated
 * lakes and in a flooded gully.
 */
const SLOPE = { usual: 0.1, least: 0.02, power: 0.25 };
/** Starting points of the search. */
const STARTS: readonly Unseen[] = [
  USUAL,
  { factor: 0.5, size: 1.5, rate: 0.15 },
  { factor: 0.8, size: 0.3, rate: 0.1 },
];
const FIRST_STEP = 0.7;
const LAST_STEP = 0.02;

/** Chance of a form at a place that no pass crossed. @param distance To the nearest block, m. */
export const missedFormChance = ({ rate }: Unseen, distance: number): number =>
  1 - Math.exp(-rate * (Math.min(distance, FURTHEST) / 10) ** POWER);

/** Chance of a missed form above which another pass is worth the time. */
const WORTH_A_PASS = 0.05;

export const isWorthAPass = (chance: number): boolean => chance > WORTH_A_PASS;

/** The model's standard deviation of a depth, m, scaled for the gradient of the ground, m/m. */
export const forSlope = (sd: number, gradient: number): number =>
  sd * ((gradient ** 2 + SLOPE.least ** 2) / SLOPE.usual ** 2) ** (SLOPE.power / 2);

/** What the lake hides, as a maximum a posteriori estimate; the prior medians where no pass could be left out. */
export function fitUnseen(places: readonly LeftOutError[]): Unseen {
  const marks = places.filter((p) => p.isMarkLike).length;
  const others = places.length - marks;
  const markWeight = (INDEPENDENT * places.length * (others === 0 ? 1 : MARK_SHARE)) / Math.max(1, marks);
  const otherWeight =
    (INDEPENDENT * places.length * (marks === 0 ? 1 : 1 - MARK_SHARE)) / Math.max(1, others);
  const score = (u: Unseen): number => {
    let sum = 0;
    for (const key of KEYS) sum -= (Math.log(u[key] / USUAL[key]) / SPREAD[key]) ** 2 / 2;
    for (const { error, sd, distance, own, isMarkLike } of places) {
      const q = missedFormChance(u, distance);
      const seen = (u.factor * sd) ** 2 + own;
      const density = (1 - q) * normalDensity(error, seen) + q * normalDensity(error, seen + u.size ** 2);
      sum += (isMarkLike ? markWeight : otherWeight) * Math.log(density + Number.MIN_VALUE);
    }
    return sum;
  };
  return STARTS.map((start) => climb(start, score)).reduce((a, b) => (b.score > a.score ? b : a)).unseen;
}

/** Pattern search in the logarithms of the parameters for the highest score. */
function climb(start: Unseen, score: (u: Unseen) => number): { unseen: Unseen; score: number } {
  let unseen = start;
  let most = score(start);
  for (let step = FIRST_STEP; step > LAST_STEP; ) {
    let isBetter = false;
    for (const key of KEYS) {
      for (const by of [Math.exp(step), Math.exp(-step)]) {
        const tried = { ...unseen, [key]: unseen[key] * by };
        const found = score(tried);
        if (found <= most) continue;
        [unseen, most, isBetter] = [tried, found, true];
      }
    }
    if (!isBetter) step /= 2;
  }
  return { unseen, score: most };
}

/** Density of a normal distribution about 0. */
export const normalDensity = (x: number, variance: number): number =>
  Math.exp((-x * x) / (2 * variance)) / Math.sqrt(2 * Math.PI * variance);
