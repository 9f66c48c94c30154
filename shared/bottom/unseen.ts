import type { Unseen } from '../contract/index.ts';

/** Error of a depth predicted without the place's own leg: evidence of what a lake hides between passes. */
export interface LeftOutError {
  /** Measured minus predicted depth, m. */
  readonly error: number;
  /** Standard deviation of the prediction, m, scaled for the slope of the ground (`forSlope`). */
  readonly sd: number;
  /** Distance to the nearest block of another leg, m. */
  readonly distance: number;
  /** Error variance of the measured depth, m^2, from bias, noise and position offset of its leg. */
  readonly own: number;
  /** As `PassStop.isMarkLike`. */
  readonly isMarkLike: boolean;
}

/** Medians of the log-normal prior of each parameter. */
const USUAL: Unseen = { factor: 0.9, size: 0.5, rate: 0.03 };
/** Standard deviations of the logarithms of the parameters in the prior. */
const SPREAD: Unseen = { factor: 0.4, size: 1, rate: 1 };
const KEYS = ['factor', 'size', 'rate'] as const;
/** Share of the total weight that mark-like places get: anglers do not drop marks at random. */
const MARK_SHARE = 0.85;
/** Mean weight of a place in the likelihood; below 1 because errors of neighboring places are correlated. */
const INDEPENDENT = 0.75;
/** Distance to the nearest block beyond which the chance of a missed form grows no further, m. */
const FURTHEST = 25;
const POWER = 1.5;
/** Constants of `forSlope`, fitted at marks on simulated lakes and on a real gully used as a lake bottom. */
const SLOPE = { usual: 0.1, least: 0.02, power: 0.25 };
const STARTS: readonly Unseen[] = [
  USUAL,
  { factor: 0.5, size: 1.5, rate: 0.15 },
  { factor: 0.8, size: 0.3, rate: 0.1 },
];
const FIRST_STEP = 0.7;
const LAST_STEP = 0.02;

/** Returns the chance of a form that no pass crossed, 0 to 1. @param distance To the nearest block, m. */
export const missedFormChance = ({ rate }: Unseen, distance: number): number =>
  1 - Math.exp(-rate * (Math.min(distance, FURTHEST) / 10) ** POWER);

const WORTH_A_PASS = 0.05;

export const isWorthAPass = (chance: number): boolean => chance > WORTH_A_PASS;

/** Scales a standard deviation, m, for the gradient of the ground, m/m: steep ground has larger errors. */
export const forSlope = (sd: number, gradient: number): number =>
  sd * ((gradient ** 2 + SLOPE.least ** 2) / SLOPE.usual ** 2) ** (SLOPE.power / 2);

/** Finds the maximum a posteriori estimate of what the lake hides; without places, the prior medians. */
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

/** Climbs from a start to a local maximum of the score, by pattern search in the parameters' logarithms. */
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

/** Returns the density at `x` of a normal distribution with mean 0. */
export const normalDensity = (x: number, variance: number): number =>
  Math.exp((-x * x) / (2 * variance)) / Math.sqrt(2 * Math.PI * variance);
