/**
 * Standard normal number that belongs to a key: the same wherever and whenever it is asked for.
 *
 * Tiles that overlap, and runs on any number of threads, so draw the same bottom. Two rounds of a 32-bit integer hash
 * (the finalizer of MurmurHash3, public domain) feed the Box-Muller transform.
 */
export function keyedNormal(a: number, b: number, draw: number, kind: number): number {
  const seed = mix(mix(mix(mix(0x9e3779b9 ^ a) ^ b) ^ draw) ^ kind);
  const u = (mix(seed ^ 0x2545f491) + 1) / 4294967297;
  const v = mix(seed ^ 0x6c8e9cf5) / 4294967296;
  return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * v);
}

function mix(x: number): number {
  let h = x | 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}
