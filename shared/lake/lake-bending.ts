import { gaussianMean, gradient, type Lattice } from './raster.ts';

/**
 * Standard deviation of second derivatives in the first round, 1/m: the value for smooth ground, because
 * draws keep this value where no sounding contradicts it. On broken ground, two rounds learn a larger value.
 */
const FIRST_BENDING = 0.001;
/** Standard deviation of the Gaussian window over which bending is averaged, m. */
const WINDOW = 30;
/** Weight of the mean over the whole lake in the bending at a node. */
const LAKE_SHARE = 0.1;
/** Standard deviation of the Gaussian window over which the direction of the fall line is averaged, m. */
const FALL_LINE_WINDOW = 20;
/**
 * Factor on the learned variances at looseness 1. The draws from which variances are learned follow the
 * sheet's own penalty, so the draws are smoother than the bottom. With this factor, stated intervals hold on
 * steep and broken ground; on other ground, a smaller factor would be enough.
 */
const LOOSEN = 20;
/**
 * Limits of the ratio r = vv / uu in `loosen`, which multiplies vv by r and divides uu by r, because draws
 * bend more equally in all directions than the bottom does.
 */
const ALIGNED = { least: Math.SQRT2, most: 3 };
/** Shares of the squared bending uu + vv + 2 uv on a bottom that bends equally in all directions. */
const ISOTROPIC = { uu: 3 / 8, vv: 3 / 8, uv: 1 / 8 };

/** Variance added to every learned variance, 1/m^2, so that ground without any bend may still bend. */
const MIN_VARIANCE = 1e-12;

/** Variances of second derivatives at each node, 1/m^2: along the contour (u), down the slope (v), mixed. */
export interface LakeBending {
  readonly uu: Float64Array;
  readonly vv: Float64Array;
  readonly uv: Float64Array;
  /** Direction of u, rad from the lattice's first axis. */
  readonly direction: Float64Array;
  /** Steepness of the bottom, m/m. */
  readonly slope: Float64Array;
}

export function evenBending({ columns, rows }: Lattice): LakeBending {
  const even = new Float64Array(columns * rows).fill(FIRST_BENDING ** 2);
  const none = new Float64Array(columns * rows);
  return { uu: even, vv: even, uv: even, direction: none, slope: none };
}

/**
 * Number of steps per factor of 2 when learned variances are rounded. Rounding usually limits the effect of
 * one more pass to the tiles nearby; other tiles then stay unchanged and need not be solved again.
 */
const VARIANCE_STEPS = 4;
const DIRECTION_STEP = Math.PI / 64;
const SLOPE_STEP = 0.02;

/** Rounds values to `VARIANCE_STEPS` steps per factor of 2; computes each of the few results once. */
function toPowers(values: Float64Array): Float64Array {
  const powers = new Map<number, number>();
  let [last, lastPower] = [Number.NaN, Number.NaN];
  return values.map((value) => {
    // Most nodes beyond the soundings have the same value.
    if (value === last) return lastPower;
    const step = Math.round(Math.log2(value) * VARIANCE_STEPS);
    let power = powers.get(step);
    if (power === undefined) {
      power = 2 ** (step / VARIANCE_STEPS);
      powers.set(step, power);
    }
    [last, lastPower] = [value, power];
    return power;
  });
}

/** Learns bending and slope at each node from the mean and draws of one round. */
export function learnBending(
  lattice: Lattice,
  mask: Uint8Array,
  mean: Float32Array,
  draws: readonly Float32Array[],
): LakeBending {
  const [gx, gy] = gradient(lattice, mean);
  const window = gaussianMean(lattice, mask, FALL_LINE_WINDOW);
  const [xx, xy, yy] = [gx.map((g) => g * g), gx.map((g, k) => g * gy[k]), gy.map((g) => g * g)].map(
    (values) => window(values),
  );
  // The fall line is the principal axis of the structure tensor; u is perpendicular to it.
  const direction = xx.map(
    (_, k) =>
      DIRECTION_STEP * Math.round((Math.atan2(2 * xy[k], xx[k] - yy[k]) / 2 + Math.PI / 2) / DIRECTION_STEP),
  );
  const squares = squaredBending(lattice, mask, direction, draws);
  const nodes = mask.reduce((sum, in_) => sum + in_, 0);
  const wide = gaussianMean(lattice, mask, WINDOW);
  const local = (values: Float64Array, share: number): Float64Array => {
    const sum = values.reduce((total, value, k) => total + (mask[k] ? value : 0), 0);
    const lake = 2 ** Math.ceil(Math.log2(sum / nodes + MIN_VARIANCE));
    return toPowers(
      wide(values).map((value) => ((1 - LAKE_SHARE) * value + LAKE_SHARE * lake) / share + MIN_VARIANCE),
    );
  };
  return {
    uu: local(squares.uu, ISOTROPIC.uu),
    vv: local(squares.vv, ISOTROPIC.vv),
    uv: local(squares.uv, ISOTROPIC.uv),
    direction,
    slope: gx.map((g, k) => SLOPE_STEP * Math.round(Math.hypot(g, gy[k]) / SLOPE_STEP)),
  };
}

function squaredBending(
  { columns, rows, cell }: Lattice,
  mask: Uint8Array,
  direction: Float64Array,
  draws: readonly Float32Array[],
): Record<'uu' | 'vv' | 'uv', Float64Array> {
  const [uu, vv, uv] = [0, 1, 2].map(() => new Float64Array(columns * rows));
  for (let y = 1; y < rows - 1; y++)
    for (let x = 1; x < columns - 1; x++) {
      const k = y * columns + x;
      if (!mask[k]) continue;
      const [c, s] = [Math.cos(direction[k]), Math.sin(direction[k])];
      for (const z of draws) {
        const xx = (z[k - 1] - 2 * z[k] + z[k + 1]) / cell ** 2;
        const yy = (z[k - columns] - 2 * z[k] + z[k + columns]) / cell ** 2;
        const xy =
          (z[k + columns + 1] - z[k + columns - 1] - z[k - columns + 1] + z[k - columns - 1]) /
          (4 * cell ** 2);
        uu[k] += (c * c * xx + 2 * c * s * xy + s * s * yy) ** 2 / draws.length;
        vv[k] += (s * s * xx - 2 * c * s * xy + c * c * yy) ** 2 / draws.length;
        uv[k] += (-c * s * xx + (c * c - s * s) * xy + c * s * yy) ** 2 / draws.length;
      }
    }
  return { uu, vv, uv };
}

/** Converts learned bending to allowed bending. @param looseness Factor on all variances. */
export function loosen({ uu, uv, vv, ...rest }: LakeBending, looseness: number): LakeBending {
  const factor = LOOSEN * looseness;
  const aligned = uu.map((along, k) => Math.min(ALIGNED.most, Math.max(ALIGNED.least, vv[k] / along)));
  return {
    uu: uu.map((value, k) => (factor * value) / aligned[k]),
    uv: uv.map((value) => factor * value),
    vv: vv.map((value, k) => factor * value * aligned[k]),
    ...rest,
  };
}

/** Copies bending to a lattice with half the node spacing, from the nearest coarse nodes. */
export function refine(bending: LakeBending, coarse: Lattice, { columns, rows }: Lattice): LakeBending {
  const fine = (values: Float64Array): Float64Array => {
    const out = new Float64Array(columns * rows);
    for (let y = 0; y < rows; y++)
      for (let x = 0; x < columns; x++) out[y * columns + x] = values[(y >> 1) * coarse.columns + (x >> 1)];
    return out;
  };
  return {
    uu: fine(bending.uu),
    vv: fine(bending.vv),
    uv: fine(bending.uv),
    direction: fine(bending.direction),
    slope: fine(bending.slope),
  };
}
