import { normalBelow } from '../math/index.ts';

/** Number of bits of a hash that select a quantile: noise has 4,096 equally likely values with variance 1. */
const BITS = 12;
const QUANTILES = normalQuantiles(2 ** BITS);

/**
 * Returns the key for one kind of noise at a position: an integer hash, made with the finalizer of
 * MurmurHash3 (public domain).
 *
 * The key depends on the arguments alone. Overlapping tiles, and runs on any number of threads, therefore use
 * the same noise at a position.
 */
export const noiseKey = (a: number, b: number, kind: number): number =>
  mix(mix(mix(0x9e3779b9 ^ a) ^ b) ^ kind);

/** Returns the key for a position between nodes, to a thousandth of the distance between nodes. */
export const finerNoiseKey = (x: number, y: number, kind: number): number =>
  noiseKey(Math.round(1000 * x), Math.round(1000 * y), kind);

/** Returns the standard normal value for a key and a draw. */
export const keyedNormal = (key: number, draw: number): number =>
  QUANTILES[mix(key ^ Math.imul(draw, 0x2545f491)) >>> (32 - BITS)];

function mix(x: number): number {
  let h = x | 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/** Returns the medians of `count` equally likely parts of a normal distribution, scaled to variance 1. */
function normalQuantiles(count: number): Float64Array {
  const values = Float64Array.from({ length: count }, (_, k) => {
    let [low, high] = [-6, 6];
    for (let halving = 0; halving < 30; halving++) {
      const middle = (low + high) / 2;
      if (normalBelow(middle) < (k + 0.5) / count) low = middle;
      else high = middle;
    }
    return low;
  });
  const variance = values.reduce((sum, value) => sum + value * value, 0) / count;
  return values.map((value) => value / Math.sqrt(variance));
}
