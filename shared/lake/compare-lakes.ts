import { METERS_PER } from '../contract/index.ts';
import { ring } from './closed-forms.ts';
import { type LakeGrid, nodeAt } from './lake-grid.ts';
import { placeOf } from './lake-lines.ts';

/** Changes to the lake from the soundings of one more day. */
export interface LakeComparison {
  /** Area that had no depth before, m^2. */
  readonly added: number;
  /** Places between the earlier passes where the estimated depth changed, largest change first. */
  readonly changed: readonly Change[];
  /** Places at earlier soundings whose depth the new soundings changed, largest change first. */
  readonly disagreeing: readonly Change[];
}

export interface Change {
  readonly at: readonly [lat: number, lon: number];
  /** Largest change in depth at the place, m; negative where the bottom became shallower. */
  readonly deeper: number;
  /** Area of the place, m^2. */
  readonly area: number;
}

/** Minimum change that is reported, m. */
const LEAST = METERS_PER.ft;
/** Minimum change that is reported, in standard deviations of the earlier estimate. */
const MIN_SD = 2;
/** Maximum distance from the nearest sounding to a place that counts as sounded, m. */
const SOUNDED = 5;
const MIN_AREA = 100;

export function compareLakes(before: LakeGrid, after: LakeGrid): LakeComparison {
  const size = after.columns * after.rows;
  const deeper = new Float32Array(size);
  const [between, twice] = [new Uint8Array(size), new Uint8Array(size)];
  let added = 0;
  for (let k = 0; k < size; k++) {
    if (Number.isNaN(after.depth[k])) continue;
    const then = nodeAt(before, ...placeOf(after, k % after.columns, Math.floor(k / after.columns)));
    if (then === undefined || Number.isNaN(before.depth[then])) {
      added++;
      continue;
    }
    deeper[k] = after.depth[k] - before.depth[then];
    if (Math.abs(deeper[k]) < Math.max(LEAST, MIN_SD * before.sd[then])) continue;
    if (before.distance[then] > SOUNDED) between[k] = 1;
    else if (after.distance[k] <= SOUNDED) twice[k] = 1;
  }
  return {
    added: added * after.cell ** 2,
    changed: placesOf(after, between, deeper),
    disagreeing: placesOf(after, twice, deeper),
  };
}

/** Groups connected nodes into places of at least `MIN_AREA`, the largest change first. */
function placesOf(grid: LakeGrid, nodes: Uint8Array, deeper: Float32Array): Change[] {
  const left = new Set<number>();
  for (let k = 0; k < nodes.length; k++) if (nodes[k]) left.add(k);
  const changes: Change[] = [];
  while (left.size > 0) {
    const [seed] = left;
    left.delete(seed);
    const piece = [seed];
    for (const node of piece)
      for (const step of ring(grid.columns)) if (left.delete(node + step)) piece.push(node + step);
    const area = piece.length * grid.cell ** 2;
    if (area < MIN_AREA) continue;
    const most = piece.reduce((a, b) => (Math.abs(deeper[b]) > Math.abs(deeper[a]) ? b : a));
    const at = placeOf(grid, most % grid.columns, Math.floor(most / grid.columns));
    changes.push({ at, deeper: deeper[most], area });
  }
  return changes.sort((a, b) => Math.abs(b.deeper) - Math.abs(a.deeper));
}
