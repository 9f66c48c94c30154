import type { BottomProfile, RetrievePath } from '../../shared/retrieve/path.ts';
import { segment } from '../../shared/retrieve/touch.ts';

/** Contact of a retrieve with the bottom; distances from the rod tip, m. */
interface Touch {
  /** Distance of the first computed point on bottom. */
  readonly first: number;
  /** Distance at which the lure leaves the bottom for good: the middle of that step. */
  readonly last: number;
  /** Length of the path on bottom, m. */
  readonly contact: number;
  /** Minimum and maximum depth on bottom, m. */
  readonly depths: readonly [number, number];
}

/** Finds the touch points and contact of a retrieve; undefined when it never touches. */
export function touchOf(path: RetrievePath): Touch | undefined {
  let first: number | undefined;
  let last = 0;
  let contact = 0;
  let shallowest = Number.POSITIVE_INFINITY;
  let deepest = 0;
  for (let i = 1; i < path.count; i++) {
    const length = segment(path, i);
    if (path.touching[i] === 1) {
      first ??= path.distance[i];
      last = path.distance[i];
      if (path.touching[i - 1] === 1) contact += length;
      shallowest = Math.min(shallowest, path.depth[i]);
      deepest = Math.max(deepest, path.depth[i]);
    } else if (path.touching[i - 1] === 1) {
      last = (path.distance[i - 1] + path.distance[i]) / 2;
      contact += length / 2;
    }
  }
  return first === undefined ? undefined : { first, last, contact, depths: [shallowest, deepest] };
}

/** Makes the profile of a bottom from a function of distance, up to `length` m. */
export function profileOf(depth: (distance: number) => number, length: number, spacing = 0.5): BottomProfile {
  const count = Math.ceil(length / spacing) + 1;
  return { spacing, depth: Float64Array.from({ length: count }, (_, i) => depth(i * spacing)) };
}
