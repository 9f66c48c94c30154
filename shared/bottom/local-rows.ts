import type { Soundings } from '../contract/index.ts';
import { localFrame } from '../geo/index.ts';

/**
 * Soundings around a place, in east and north meters from the place. The rows of a pass are contiguous, in
 * the order of the log.
 */
export interface LocalSoundings {
  readonly count: number;
  readonly east: ArrayLike<number>;
  readonly north: ArrayLike<number>;
  /** Depth, m, positive down. */
  readonly depth: ArrayLike<number>;
  readonly pass: ArrayLike<number>;
  /** Number of soundings behind each row; 1 when absent. */
  readonly weight?: ArrayLike<number>;
  /** Time, s; NaN or absent when unknown. */
  readonly time?: ArrayLike<number>;
}

/**
 * Converts rows of a survey to east and north meters from a place, in the order given.
 *
 * Leaves out rows whose position or depth is not finite, or whose depth is 0 or less.
 *
 * @param lat Latitude of the place, deg. @param lon Longitude of the place, deg.
 */
export function localRows(
  soundings: Soundings,
  rows: ArrayLike<number>,
  lat: number,
  lon: number,
): Required<LocalSoundings> {
  const frame = localFrame(lat, lon);
  const n = rows.length;
  const east = new Float64Array(n);
  const north = new Float64Array(n);
  const depth = new Float64Array(n);
  const pass = new Int32Array(n);
  const weight = new Float64Array(n);
  const time = new Float64Array(n);
  let count = 0;
  for (let k = 0; k < n; k++) {
    const row = rows[k];
    const [e, m] = frame.toLocal(soundings.lat[row], soundings.lon[row]);
    if (!Number.isFinite(e) || !Number.isFinite(m) || !(soundings.depth[row] > 0)) continue;
    if (soundings.depth[row] === Number.POSITIVE_INFINITY) continue;
    east[count] = e;
    north[count] = m;
    depth[count] = soundings.depth[row];
    pass[count] = soundings.pass[row];
    weight[count] = soundings.weight[row];
    time[count] = soundings.time[row];
    count++;
  }
  return { count, east, north, depth, pass, weight, time };
}
