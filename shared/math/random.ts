/**
 * A seeded source of numbers in [0, 1): the same seed gives the same numbers on every machine.
 *
 * Source: the public-domain generator "mulberry32" (32-bit state, period 2^32).
 */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** A whole number in [0, count). */
export const randomIndex = (random: () => number, count: number): number => Math.floor(random() * count);
