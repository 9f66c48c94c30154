/** How depths vary with place: the parameters of the surface's covariance. */
export interface CovarianceParams {
  /** How smooth the bottom is. */
  readonly kernel: Kernel;
  /** Distance over which depths are alike, m, across the direction of the longer range. */
  readonly range: number;
  /** Variance of the depth about its trend, m^2. */
  readonly sill: number;
  /** Range along the direction over range across it, 1 or more. */
  readonly ratio: number;
  /** Direction of the longer range: east and north parts of a unit vector. */
  readonly cos: number;
  readonly sin: number;
  /** Factor on the noise variance of every observation: rough ground and careless positions look like noise. */
  readonly nugget: number;
  /** Prior standard deviation of the trend's tilt, m/m; with a larger one the surface runs off beyond the last pass. */
  readonly tilt: number;
}

/** Prior tilt where soundings surround the waypoint, and where they lie on one side, m/m; from leave-out tests on real logs. */
export const TILT = 0.03;
export const ONE_SIDED_TILT = 0.015;

/** Parameters with the same range in all directions. */
export const isotropic = (range: number, sill: number, tilt = TILT): CovarianceParams => ({
  kernel: MATERN_32,
  range,
  sill,
  ratio: 1,
  cos: 1,
  sin: 0,
  nugget: 1,
  tilt,
});

/** Units of scaled places per range: the square of a scaled distance counts steps of a table of correlations. */
export const PLACE_STEPS = 16;
/** Table steps per range of `fall`. */
const FALL_STEPS = 64;
/** The same per unit of a scaled distance. */
export const FALL_PER_PLACE = FALL_STEPS / PLACE_STEPS;
/** Distance in ranges beyond which the correlation counts as zero: it is below 2e-5 there. */
const LAST_RANGE = 8;
/** Its square in steps of the table of correlations, and itself in steps of `fall`. */
export const LAST_SQUARE = (LAST_RANGE * PLACE_STEPS) ** 2;
export const LAST_FALL = LAST_RANGE * FALL_STEPS;

/** Correlation as a function of distance, tabulated: an exponential for every pair would take most of a fit's time. */
export interface Kernel {
  /**
   * Correlation where the square of the distance is `k` in scaled places; linear interpolation is accurate to 6e-5. By
   * squares, because no pair of places then needs a root.
   */
  readonly value: Float64Array;
  /** -(dk/dr) / r at `k / FALL_STEPS` ranges. */
  readonly fall: Float64Array;
  /** -k''(0): variance of the slope for unit sill and range. */
  readonly curvature: number;
}

/**
 * Matern correlations of smoothness 3/2, a surface with breaks of slope, and 5/2, one of continuous slope:
 * (1 + s) exp(-s), s = sqrt(3) r, and (1 + s + s^2 / 3) exp(-s), s = sqrt(5) r.
 *
 * Source: Rasmussen & Williams 2006, eq. 4.17.
 */
export const MATERN_32: Kernel = tabulate(
  3,
  (s) => (1 + s) * Math.exp(-s),
  (s) => 3 * Math.exp(-s),
);
export const MATERN_52: Kernel = tabulate(
  5,
  (s) => (1 + s + (s * s) / 3) * Math.exp(-s),
  (s) => (5 / 3) * (1 + s) * Math.exp(-s),
);

function tabulate(
  twiceSmoothness: number,
  value: (s: number) => number,
  fall: (s: number) => number,
): Kernel {
  const root = Math.sqrt(twiceSmoothness);
  return {
    value: Float64Array.from({ length: LAST_SQUARE + 2 }, (_, k) =>
      value((root * Math.sqrt(k)) / PLACE_STEPS),
    ),
    fall: Float64Array.from({ length: LAST_FALL + 2 }, (_, k) => fall((root * k) / FALL_STEPS)),
    curvature: fall(0),
  };
}

/** Correlation at a distance in ranges, 0 far out. */
export const correlationAt = ({ value }: Kernel, ranges: number): number =>
  lookUp(value, (ranges * PLACE_STEPS) ** 2);

/** -(dk/dr) / r at a distance in ranges, 0 far out. */
export const fallAt = ({ fall }: Kernel, ranges: number): number => lookUp(fall, ranges * FALL_STEPS);

/** Table value, linear between steps, 0 beyond the last. */
function lookUp(table: Float64Array, step: number): number {
  if (step >= table.length - 2) return 0;
  const k = step | 0;
  return table[k] + (step - k) * (table[k + 1] - table[k]);
}

/** Distance in ranges of two places `de` and `dn` meters and `shape` shape coordinates apart. */
export function scaledDistance(params: CovarianceParams, de: number, dn: number, shape: number): number {
  const { range, ratio, cos, sin } = params;
  const u = (cos * de + sin * dn) / (range * ratio);
  const v = (cos * dn - sin * de) / range;
  return Math.sqrt(u * u + v * v + shape * shape);
}

/** Places along and across the direction, and by shape, `PLACE_STEPS` to a range: a difference of places is a distance. */
export interface ScaledPlaces {
  readonly along: Float64Array;
  readonly across: Float64Array;
  readonly shape: Float64Array;
}

export const emptyPlaces = (n: number): ScaledPlaces => ({
  along: new Float64Array(n),
  across: new Float64Array(n),
  shape: new Float64Array(n),
});

/** Scales a place for a covariance, so that loops over pairs of places do not. @param i Where in `out` it is written. */
export function scalePlace(
  { range, ratio, cos, sin }: CovarianceParams,
  east: number,
  north: number,
  shape: number,
  out: ScaledPlaces,
  i: number,
): void {
  const step = PLACE_STEPS / range;
  out.along[i] = (cos * east + sin * north) * (step / ratio);
  out.across[i] = (cos * north - sin * east) * step;
  out.shape[i] = shape * PLACE_STEPS;
}
