import { GRID_SIZE, HALF, latticeAt } from '../../bottom/index.ts';
import { clip, type HeightField, squash } from './height-field.ts';
import { Stencil } from './stencil.ts';

const BEARINGS = 24;
const HALF_ROUND = BEARINGS / 2;
const RADII = [18, 30, 45, 65, 90];
const RADII_WITH_SIDES = [30, 65, 90];

/** Returns Fourier features of the heights on five rings around the mark, and side features of three. */
export function ringFeatures(field: HeightField): number[] {
  const terms: number[] = [];
  const sides: number[] = [];
  for (let k = 0; k < RADII.length; k++) {
    const scale = scaleOf(RADII[k]);
    sampleRing(field, NEAR_RING[k]);
    terms.push(...fourierFeatures(scale));
    if (RADII_WITH_SIDES.includes(RADII[k])) sides.push(...sideFeatures(scale));
  }
  return [...terms, ...sides];
}

/** Returns the height that counts as large on a ring, m; judgment. */
const scaleOf = (radius: number): number => 0.35 + 0.006 * radius;

/** Directions of the points on a ring, rad, counterclockwise from east. */
const ANGLES = Array.from({ length: BEARINGS }, (_, k) => (2 * Math.PI * k) / BEARINGS);
/** Cosines of harmonics 0 to 3 in the directions of `ANGLES`. */
const COS = [0, 1, 2, 3].map((m) => Float64Array.from(ANGLES, (angle) => Math.cos(m * angle)));
const SIN = [0, 1, 2, 3].map((m) => Float64Array.from(ANGLES, (angle) => Math.sin(m * angle)));
/** For each ring, the three points that are averaged in each direction. */
const NEAR_RING = RADII.map(
  (radius) =>
    new Stencil(
      ANGLES.flatMap((_, k) =>
        [0.75, 0.9, 1.05].map((part) => [part * radius * COS[1][k], part * radius * SIN[1][k]] as const),
      ),
    ),
);
const MARK = HALF * GRID_SIZE + HALF;

/** Scratch: mean height of the three points in each direction of a ring, above the mark, m. */
const RING = new Float64Array(BEARINGS);

function sampleRing({ raw, mark }: HeightField, near: Stencil): void {
  for (let k = 0; k < BEARINGS; k++) {
    let sum = 0;
    for (let place = 3 * k; place < 3 * k + 3; place++) sum += near.heightAt(raw, MARK, place);
    RING[k] = sum / 3 - mark;
  }
}

/**
 * Returns the mean height, the sizes of the first and second harmonic, the part of the second harmonic along
 * the fall line, and the size of the third harmonic, each divided by |mean| + the three sizes + `scale`.
 */
function fourierFeatures(scale: number): number[] {
  const mean = amplitude(COS[0]) / 2;
  const [c1, c2, c3] = [amplitude(COS[1]), amplitude(COS[2]), amplitude(COS[3])];
  const [s1, s2, s3] = [amplitude(SIN[1]), amplitude(SIN[2]), amplitude(SIN[3])];
  const size1 = Math.sqrt(c1 * c1 + s1 * s1);
  const size2 = Math.sqrt(c2 * c2 + s2 * s2);
  const size3 = Math.sqrt(c3 * c3 + s3 * s3);
  const total = Math.abs(mean) + size1 + size2 + size3 + scale;
  const down = Math.atan2(-s1, -c1);
  const alongFall = c2 * Math.cos(2 * down) + s2 * Math.sin(2 * down);
  return [mean / total, size1 / total, size2 / total, alongFall / total, size3 / total];
}

function amplitude(wave: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < BEARINGS; k++) sum += RING[k] * wave[k];
  return sum / HALF_ROUND;
}

/**
 * Compares a ring with the mark. Returns five heights through `squash`: the greatest drop that two opposite
 * directions share, the greatest rise that two opposite directions share, the highest point, the lowest
 * point, and the lesser of the shared drop and the shared rise, which is large on a saddle.
 */
function sideFeatures(scale: number): number[] {
  let [lower, higher] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  let [most, least] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (let k = 0; k < HALF_ROUND; k++) {
    const low = Math.min(RING[k], RING[k + HALF_ROUND]);
    const high = Math.max(RING[k], RING[k + HALF_ROUND]);
    if (-high > lower) lower = -high;
    if (low > higher) higher = low;
    if (high > most) most = high;
    if (low < least) least = low;
  }
  return [lower, higher, most, least, Math.min(lower, higher)].map((z) => squash(z, scale));
}

export const RING_NAMES: readonly string[] = [
  ...RADII.flatMap((r) => ['a0', 't1', 't2', 'cc', 't3'].map((part) => `ring${r}_${part}`)),
  ...RADII_WITH_SIDES.flatMap((r) => ['rb', 'db', 'max', 'min', 'rb&db'].map((part) => `ring${r}_${part}`)),
];

/** Returns the slope at the mark over 18 m, from 0 to 1 by `squash`. */
export function markSlope(field: HeightField): number {
  const g = field.smooth;
  const east = (latticeAt(g, 9, 0) - latticeAt(g, -9, 0)) / 18;
  const north = (latticeAt(g, 0, 9) - latticeAt(g, 0, -9)) / 18;
  return squash(clip((Math.atan(Math.hypot(east, north)) * 180) / Math.PI, 0, 90), 2);
}
