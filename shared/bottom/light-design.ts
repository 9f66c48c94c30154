import type { Blocks } from './blocks.ts';

/** The blocks nearest the origin, in order of distance, with what is known of their errors; see `design.ts`. */
export interface LightDesign {
  readonly count: number;
  /** m. */
  readonly east: Float64Array;
  readonly north: Float64Array;
  /** m, positive down, less `zero`. */
  readonly depth: Float64Array;
  readonly zero: number;
  /** Variance of the block's own noise, m^2. */
  readonly noise: Float64Array;
  /** Covariance of the errors, m^2: lower triangle without gaps. */
  readonly errors: Float64Array;
}

/** See `design.ts` for these. */
const OFFSET = 1;
const LAG = 1;
const BIAS = 0.05;
const UNSEEN_OFFSET = 0.5;
const MOST_UNSEEN = 0.02;
const INDEPENDENT = 4;
const LEAST_NOISE = 1e-6;

/** The nearest blocks, `most` of them or the even number there is. */
export function lightDesign(blocks: Blocks, most: number): LightDesign {
  const order = nearest(blocks, most);
  const n = order.length;
  const zero = blocks.depth[order[0]];
  const take = (column: ArrayLike<number>): Float64Array => {
    const out = new Float64Array(n);
    for (let i = 0; i < n; i++) out[i] = column[order[i]];
    return out;
  };
  const depth = take(blocks.depth);
  const noise = take(blocks.noise);
  for (let i = 0; i < n; i++) {
    depth[i] -= zero;
    noise[i] = noise[i] ** 2 / Math.min(blocks.weight[order[i]], INDEPENDENT) + LEAST_NOISE;
  }
  const design = { count: n, east: take(blocks.east), north: take(blocks.north), depth, zero, noise };
  return { ...design, errors: errorTriangle(blocks, order, noise) };
}

/** Numbers of the nearest blocks, nearest first; of two at one distance the earlier. */
function nearest({ count, east, north }: Blocks, most: number): Int32Array {
  const square = new Float64Array(count);
  for (let i = 0; i < count; i++) square[i] = east[i] * east[i] + north[i] * north[i];
  const n = Math.min(most, count) & ~1;
  const limit = count <= n + 1 ? Number.POSITIVE_INFINITY : square.slice().sort()[n - 1];
  const order = new Int32Array(count);
  let found = 0;
  for (let i = 0; i < count; i++) {
    if (square[i] > limit) continue;
    let k = found++;
    for (; k > 0 && square[order[k - 1]] > square[i]; k--) order[k] = order[k - 1];
    order[k] = i;
  }
  return order.subarray(0, n);
}

/** Errors as in `design.ts`: noise, and what the blocks of a leg share. */
function errorTriangle(blocks: Blocks, order: Int32Array, noise: Float64Array): Float64Array {
  const { wayEast, wayNorth, along, leg, count } = blocks;
  const n = order.length;
  let steep = 0;
  for (let i = 0; i < count; i++) steep += (along[i] * along[i]) / count;
  const bias = BIAS ** 2 + Math.min(MOST_UNSEEN, UNSEEN_OFFSET ** 2 * steep);
  const out = new Float64Array((n * (n + 1)) / 2);
  let k = 0;
  for (let i = 0; i < n; i++) {
    const p = order[i];
    const g = along[p];
    // The gradient seen lies along the way: its part along the way is the whole of it, or 0 for a boat at rest.
    for (let j = 0; j <= i; j++, k++) {
      const q = order[j];
      const product = g * along[q];
      let c = product * LAG * LAG;
      if (leg[q] === leg[p])
        c += bias + OFFSET * OFFSET * product * (wayEast[p] * wayEast[q] + wayNorth[p] * wayNorth[q]);
      out[k] = c;
    }
    out[k - 1] += noise[i];
  }
  return out;
}
