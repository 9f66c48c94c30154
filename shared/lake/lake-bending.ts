import { gaussianMean, gradient, type Lattice } from './raster.ts';

/** First guess of the standard deviation of second derivatives, 1/m. */
const FIRST_BENDING = 0.005;
/** Window over which bending is taken as even, m, and the share of the whole lake's mean in it. */
const WINDOW = 30;
const LAKE_SHARE = 0.1;
/** Window over which the fall line is taken as straight, m. */
const FALL_LINE_WINDOW = 20;
/**
 * What the learned variances are multiplied by. The draws that they are learned from follow the sheet's own penalty and so are
 * smoother than the bottom; the factors were chosen so that stated intervals hold (the design's measurement on bottoms with
 * passes 25 m apart).
 */
const LOOSEN = { uu: 20 / 3, uv: 20, vv: 60 };
/** Shares of the squared second derivatives of a bottom that bends alike in all directions: along, across, and mixed (twice). */
const ISOTROPIC = { uu: 3 / 8, vv: 3 / 8, uv: 1 / 8 };

/** How much the bottom may bend at each node of the lake, 1/m^2, along the contour (u), down the fall line (v) and mixed. */
export interface LakeBending {
  readonly uu: Float64Array;
  readonly vv: Float64Array;
  readonly uv: Float64Array;
  /** Of u, rad from the lattice's first axis. */
  readonly direction: Float64Array;
}

/** The same everywhere: the first guess. */
export function evenBending({ columns, rows }: Lattice): LakeBending {
  const even = new Float64Array(columns * rows).fill(FIRST_BENDING ** 2);
  return { uu: even, vv: even, uv: even, direction: new Float64Array(columns * rows) };
}

/** How the lake bends at each node, and how steep it is, from one round's mean and draws. */
export function learnBending(
  lattice: Lattice,
  mask: Uint8Array,
  mean: Float64Array,
  draws: readonly Float64Array[],
): [LakeBending, Float64Array] {
  const [gx, gy] = gradient(lattice, mean);
  const window = (values: Float64Array): Float64Array =>
    gaussianMean(lattice, values, mask, FALL_LINE_WINDOW);
  const [xx, xy, yy] = [gx.map((g) => g * g), gx.map((g, k) => g * gy[k]), gy.map((g) => g * g)].map(window);
  // The fall line is the main axis of the structure tensor; u lies across it.
  const direction = xx.map((_, k) => Math.atan2(2 * xy[k], xx[k] - yy[k]) / 2 + Math.PI / 2);
  const squares = squaredBending(lattice, direction, draws);
  const local = (values: Float64Array, share: number): Float64Array => {
    const lake =
      values.reduce((sum, value, k) => sum + (mask[k] ? value : 0), 0) / mask.reduce((a, b) => a + b, 0);
    return gaussianMean(lattice, values, mask, WINDOW).map(
      (value) => ((1 - LAKE_SHARE) * value + LAKE_SHARE * lake) / share + 1e-12,
    );
  };
  const bending = {
    uu: local(squares.uu, ISOTROPIC.uu),
    vv: local(squares.vv, ISOTROPIC.vv),
    uv: local(squares.uv, ISOTROPIC.uv),
    direction,
  };
  return [bending, gx.map((g, k) => Math.hypot(g, gy[k]))];
}

function squaredBending(
  { columns, rows, cell }: Lattice,
  direction: Float64Array,
  draws: readonly Float64Array[],
): Record<'uu' | 'vv' | 'uv', Float64Array> {
  const out = {
    uu: new Float64Array(columns * rows),
    vv: new Float64Array(columns * rows),
    uv: new Float64Array(columns * rows),
  };
  for (let y = 1; y < rows - 1; y++)
    for (let x = 1; x < columns - 1; x++) {
      const k = y * columns + x;
      const [c, s] = [Math.cos(direction[k]), Math.sin(direction[k])];
      for (const z of draws) {
        const xx = (z[k - 1] - 2 * z[k] + z[k + 1]) / cell ** 2;
        const yy = (z[k - columns] - 2 * z[k] + z[k + columns]) / cell ** 2;
        const xy =
          (z[k + columns + 1] - z[k + columns - 1] - z[k - columns + 1] + z[k - columns - 1]) /
          (4 * cell ** 2);
        out.uu[k] += (c * c * xx + 2 * c * s * xy + s * s * yy) ** 2 / draws.length;
        out.vv[k] += (s * s * xx - 2 * c * s * xy + c * c * yy) ** 2 / draws.length;
        out.uv[k] += (-c * s * xx + (c * c - s * s) * xy + c * s * yy) ** 2 / draws.length;
      }
    }
  return out;
}

/** Bending as it was learned, times what makes stated intervals hold. */
export const loosen = ({ uu, uv, vv, direction }: LakeBending): LakeBending => ({
  uu: uu.map((value) => LOOSEN.uu * value),
  uv: uv.map((value) => LOOSEN.uv * value),
  vv: vv.map((value) => LOOSEN.vv * value),
  direction,
});
