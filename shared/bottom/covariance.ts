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

/** Table steps per range; at this number, linear interpolation is accurate to 5e-5. */
export const STEPS_PER_RANGE = 64;
/** Distance in ranges beyond which the correlation counts as zero: it is below 2e-5 there. */
const LAST_RANGE = 8;
/** The same in table steps. */
export const LAST_STEP = LAST_RANGE * STEPS_PER_RANGE;

/** Correlation as a function of distance, tabulated: an exponential for every pair would take most of a fit's time. */
export interface Kernel {
  /** Correlation at `k / STEPS_PER_RANGE` ranges. */
  readonly value: Float64Array;
  /** -(dk/dr) / r at the same distances. */
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
export const MATERN_32: Kernel = {
  value: tabulate(3, (s) => (1 + s) * Math.exp(-s)),
  fall: tabulate(3, (s) => 3 * Math.exp(-s)),
  curvature: 3,
};
export const MATERN_52: Kernel = {
  value: tabulate(5, (s) => (1 + s + (s * s) / 3) * Math.exp(-s)),
  fall: tabulate(5, (s) => (5 / 3) * (1 + s) * Math.exp(-s)),
  curvature: 5 / 3,
};

function tabulate(twiceSmoothness: number, of: (s: number) => number): Float64Array {
  return Float64Array.from({ length: LAST_STEP + 2 }, (_, k) =>
    of((Math.sqrt(twiceSmoothness) * k) / STEPS_PER_RANGE),
  );
}

/** Table value at a distance in ranges, linear between steps, 0 far out. */
export function lookUp(table: Float64Array, ranges: number): number {
  const t = ranges * STEPS_PER_RANGE;
  if (t >= LAST_STEP) return 0;
  const k = t | 0;
  return table[k] + (t - k) * (table[k + 1] - table[k]);
}

/** Distance in ranges of two places `de` and `dn` meters and `shape` shape coordinates apart. */
export function scaledDistance(params: CovarianceParams, de: number, dn: number, shape: number): number {
  const { range, ratio, cos, sin } = params;
  const u = (cos * de + sin * dn) / (range * ratio);
  const v = (cos * dn - sin * de) / range;
  return Math.sqrt(u * u + v * v + shape * shape);
}

/** Places in table steps along and across the direction, and by shape: a difference of places is a distance. */
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
  const step = STEPS_PER_RANGE / range;
  out.along[i] = (cos * east + sin * north) * (step / ratio);
  out.across[i] = (cos * north - sin * east) * step;
  out.shape[i] = shape * STEPS_PER_RANGE;
}
