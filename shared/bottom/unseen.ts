/** How a place foretold without one pass came out: the base of what a lake hides between passes. */
export interface LeftOut {
  /** Foretold less sounded depth, m. */
  readonly error: number;
  /** The model's own standard deviation there, m. */
  readonly sd: number;
  /** Distance to the nearest sounding of another pass, m. */
  readonly distance: number;
  /** Variance of the left-out pass itself: bias, noise, offset times gradient, m^2. */
  readonly own: number;
  /** The place looks like a mark: among the most bent or most prominent places along the passes. */
  readonly isMarkLike: boolean;
}

/** Factor on the model's sd, and a form of `size` m that nobody saw: its chance is 1 - exp(-rate (distance / 10 m)^1.5). */
export interface Unseen {
  readonly factor: number;
  readonly size: number;
  readonly rate: number;
}

/** What is supposed before a pass was left out: medians and standard deviations of their logarithms. */
const USUAL: Unseen = { factor: 0.9, size: 0.5, rate: 0.03 };
const SPREAD: Unseen = { factor: 0.4, size: 1, rate: 1 };
/** Weight of mark-like places: marks are not set at random. */
const MARK_SHARE = 0.85;
/** Neighboring places do not err independently. */
const INDEPENDENT = 0.5;
const FURTHEST = 25;
const POWER = 1.5;
/** m; least standard deviation of any depth. */
const LEAST = 0.03;

/** Chance that a form was not seen. @param distance To the nearest sounding, m. */
export const chanceOf = ({ rate }: Unseen, distance: number): number =>
  1 - Math.exp(-rate * (Math.min(distance, FURTHEST) / 10) ** POWER);

/** The likeliest account of what the lake hides, drawn toward the usual one. */
export function fitUnseen(places: readonly LeftOut[]): Unseen {
  const marks = places.filter((p) => p.isMarkLike).length;
  const others = places.length - marks;
  const score = (u: Unseen): number => {
    let sum = 0;
    for (const key of ['factor', 'size', 'rate'] as const)
      sum -= (Math.log(u[key] / USUAL[key]) / SPREAD[key]) ** 2 / 2;
    for (const { error, sd, distance, own, isMarkLike } of places) {
      const share = isMarkLike ? MARK_SHARE / marks : (1 - MARK_SHARE) / others;
      const q = chanceOf(u, distance);
      const seen = (u.factor * sd) ** 2 + own;
      const density = (1 - q) * normal(error, seen) + q * normal(error, seen + u.size ** 2);
      sum += INDEPENDENT * places.length * share * Math.log(density + 1e-300);
    }
    return sum;
  };
  const starts: Unseen[] = [
    USUAL,
    { factor: 0.5, size: 1.5, rate: 0.15 },
    { factor: 0.8, size: 0.3, rate: 0.1 },
  ];
  return starts.map((start) => climb(start, score)).reduce((a, b) => (score(b) > score(a) ? b : a));
}

/** Pattern search in the logarithms. */
function climb(start: Unseen, score: (u: Unseen) => number): Unseen {
  let best = start;
  let most = score(best);
  for (let step = 0.7; step > 0.02; ) {
    let isBetter = false;
    for (const key of ['factor', 'size', 'rate'] as const) {
      for (const by of [Math.exp(step), Math.exp(-step)]) {
        const tried = { ...best, [key]: best[key] * by };
        const found = score(tried);
        if (found <= most) continue;
        [best, most, isBetter] = [tried, found, true];
      }
    }
    if (!isBetter) step /= 2;
  }
  return best;
}

/** Standard deviation to print: the mixture's own, or its 95 % half-width / 1.96 where that is more. */
export function printedSd(u: Unseen, sd: number, distance: number): number {
  const seen = Math.hypot(u.factor * sd, LEAST);
  const wide = Math.hypot(seen, u.size);
  const q = chanceOf(u, distance);
  let low = 1.5 * seen;
  let high = 3 * wide;
  for (let k = 0; k < 40; k++) {
    const middle = (low + high) / 2;
    const inside = (1 - q) * erf(middle / seen / Math.SQRT2) + q * erf(middle / wide / Math.SQRT2);
    if (inside < 0.95) low = middle;
    else high = middle;
  }
  return Math.max(Math.sqrt((1 - q) * seen ** 2 + q * wide ** 2), high / 1.96);
}

const FOOT = 0.3048;
/** Ways in which a depth that someone wrote down can be meant, and how often: as read, wrong unit both ways. */
const MEANT = [
  [1, 0.93],
  [FOOT, 0.02],
  [1 / FOOT, 0.02],
] as const;
const CARELESS = 0.03;

/** A depth with what the mark itself says of it: mean, sd to print, the chance that it is meant as read. */
export function withMarkDepth(
  u: Unseen,
  depth: number,
  sd: number,
  distance: number,
  mark: { readonly depth: number; readonly sd: number },
): { depth: number; sd: number; asRead: number } {
  const seen = (u.factor * sd) ** 2 + LEAST ** 2;
  const q = chanceOf(u, distance);
  let total = 0;
  let mean = 0;
  let square = 0;
  let read = 0;
  // Products of normals are normals: no grid.
  for (const [share, variance] of [
    [1 - q, seen],
    [q, seen + u.size ** 2],
    [0.001, 9],
  ] as const) {
    for (const [by, often] of [...MEANT, [0, CARELESS] as const]) {
      const value = by === 0 ? mark.depth : by * mark.depth;
      const noise = by === 0 ? 16 : mark.sd ** 2;
      const weight = share * often * normal(value - depth, variance + noise);
      const m = depth + (variance / (variance + noise)) * (value - depth);
      total += weight;
      mean += weight * m;
      square += weight * (m * m + (variance * noise) / (variance + noise));
      if (by === 1) read += weight;
    }
  }
  mean /= total;
  return {
    depth: mean,
    sd: Math.sqrt(Math.max(square / total - mean * mean, LEAST ** 2)),
    asRead: read / total,
  };
}

const normal = (x: number, variance: number): number =>
  Math.exp((-x * x) / (2 * variance)) / Math.sqrt(2 * Math.PI * variance);

/** Abramowitz & Stegun 7.1.26. */
function erf(x: number): number {
  const t = 1 / (1 + 0.3275911 * x);
  return (
    1 -
    ((((1.061405429 * t - 1.453152027) * t + 1.421413741) * t - 0.284496736) * t + 0.254829592) *
      t *
      Math.exp(-x * x)
  );
}
