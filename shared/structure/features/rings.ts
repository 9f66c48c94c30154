import { GRID_SIZE, HALF, latticeAt } from '../../bottom/index.ts';
import { clip, type HeightField, squash } from './height-field.ts';
import { Stencil } from './stencil.ts';

const BEARINGS = 24;
const HALF_ROUND = BEARINGS / 2;
const RADII = [18, 30, 45, 65, 90];
/** Rings on which opposite sides are also compared. */
const WIDE = [30, 65, 90];

/**
 * Fourier terms of the heights on five rings around the mark, and a comparison of opposite sides on three of them.
 *
 * Fourier terms of a ring: mean height above the mark, sizes of the first and second harmonics, how much of the second is
 * high along the fall line, and the size of the third; each over the sum of all sizes.
 */
export function ringFeatures(field: HeightField): number[] {
  const rings = NEAR_RING.map((near) => sampleRing(field, near));
  const out = rings.flatMap((ring, i) => fourierFeatures(ring, scaleOf(RADII[i])));
  for (const radius of WIDE) out.push(...sideFeatures(rings[RADII.indexOf(radius)], scaleOf(radius)));
  return out;
}

/** Height that counts as substantial on a ring, m. */
const scaleOf = (radius: number): number => 0.35 + 0.006 * radius;

/** Bearings of a ring, east first, counter-clockwise, rad, and the harmonics of a ring at them. */
const ANGLES = Array.from({ length: BEARINGS }, (_, k) => (2 * Math.PI * k) / BEARINGS);
const COS = [0, 1, 2, 3].map((m) => Float64Array.from(ANGLES, (angle) => Math.cos(m * angle)));
const SIN = [0, 1, 2, 3].map((m) => Float64Array.from(ANGLES, (angle) => Math.sin(m * angle)));
/** Three places near a ring at each bearing. */
const NEAR_RING = RADII.map(
  (radius) =>
    new Stencil(
      ANGLES.flatMap((_, k) =>
        [0.75, 0.9, 1.05].map((part) => [part * radius * COS[1][k], part * radius * SIN[1][k]] as const),
      ),
    ),
);
const MARK = HALF * GRID_SIZE + HALF;

/** Mean height above the mark over three radii near the ring's own, by bearing. */
function sampleRing({ raw, mark }: HeightField, near: Stencil): Float64Array {
  const heights = new Float64Array(BEARINGS);
  for (let k = 0; k < BEARINGS; k++) {
    let sum = 0;
    for (let place = 3 * k; place < 3 * k + 3; place++) sum += near.heightAt(raw, MARK, place);
    heights[k] = sum / 3 - mark;
  }
  return heights;
}

function fourierFeatures(ring: Float64Array, scale: number): number[] {
  const mean = ring.reduce((sum, z) => sum + z, 0) / BEARINGS;
  const cos = COS.map((wave) => amplitude(ring, wave));
  const sin = SIN.map((wave) => amplitude(ring, wave));
  const size = cos.map((c, m) => Math.sqrt(c * c + sin[m] * sin[m]));
  const total = Math.abs(mean) + size[1] + size[2] + size[3] + scale;
  const down = Math.atan2(-sin[1], -cos[1]);
  const alongFall = cos[2] * Math.cos(2 * down) + sin[2] * Math.sin(2 * down);
  return [mean / total, size[1] / total, size[2] / total, alongFall / total, size[3] / total];
}

function amplitude(ring: Float64Array, wave: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < BEARINGS; k++) sum += ring[k] * wave[k];
  return sum / HALF_ROUND;
}

/** How far opposite sides are both lower and both higher than the mark, extremes of the ring, and both at once (a saddle). */
function sideFeatures(ring: Float64Array, scale: number): number[] {
  let lower = Number.NEGATIVE_INFINITY;
  let higher = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < HALF_ROUND; k++) {
    lower = Math.max(lower, Math.min(-ring[k], -ring[k + HALF_ROUND]));
    higher = Math.max(higher, Math.min(ring[k], ring[k + HALF_ROUND]));
  }
  const most = ring.reduce((a, b) => Math.max(a, b));
  const least = ring.reduce((a, b) => Math.min(a, b));
  return [lower, higher, most, least, Math.min(lower, higher)].map((z) => squash(z, scale));
}

/** Names in the order of `ringFeatures`. */
export const RING_NAMES: readonly string[] = [
  ...RADII.flatMap((r) => ['a0', 't1', 't2', 'cc', 't3'].map((part) => `ring${r}_${part}`)),
  ...WIDE.flatMap((r) => ['rb', 'db', 'max', 'min', 'rb&db'].map((part) => `ring${r}_${part}`)),
];

/** Steepness at the mark over 18 m, squashed. */
export function markSlope(field: HeightField): number {
  const g = field.smooth;
  const east = (latticeAt(g, 9, 0) - latticeAt(g, -9, 0)) / 18;
  const north = (latticeAt(g, 0, 9) - latticeAt(g, 0, -9)) / 18;
  return squash(clip((Math.atan(Math.hypot(east, north)) * 180) / Math.PI, 0, 90), 2);
}
