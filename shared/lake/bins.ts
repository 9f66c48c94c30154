import type { Soundings } from '../contract/index.ts';
import type { LocalFrame } from '../geo/index.ts';

/** Means of soundings over stretches of track, so that the sonar's recording rate matters little. */
export interface Bins {
  readonly count: number;
  /** Mean position east of the origin of the local frame, m. */
  readonly east: Float64Array;
  /** Mean position north of the origin of the local frame, m. */
  readonly north: Float64Array;
  /** Mean depth, m, positive down. */
  readonly depth: Float64Array;
  /** Variance of the mean depth from sonar noise alone, m^2. */
  readonly variance: Float64Array;
  readonly pass: Int32Array;
}

/** Length of track that one bin covers, m: the usual node spacing of the lake grid. */
const LENGTH = 5;
/** Standard deviation of the noise of one sounding, m; assumed, typical of recreational sonar. */
const NOISE = 0.08;
/** Standard deviation of the error that the soundings of a bin share, m; assumed. */
const SHARED_NOISE = 0.04;

/**
 * Averages depths and positions over every 5 m of track.
 *
 * @param soundings Soundings, pass by pass, in the order taken.
 */
export function binPasses(soundings: Soundings, frame: LocalFrame): Bins {
  const columns = Array.from({ length: 4 }, () => new Float64Array(soundings.count));
  const [binEast, binNorth, binDepth, binVariance] = columns;
  const binPass = new Int32Array(soundings.count);
  let count = 0;
  let [weight, east, north, depth, length] = [0, 0, 0, 0, 0];
  const close = (row: number): void => {
    if (weight > 0) {
      binPass[count] = soundings.pass[row];
      binEast[count] = east / weight;
      binNorth[count] = north / weight;
      binDepth[count] = depth / weight;
      binVariance[count++] = NOISE ** 2 / weight + SHARED_NOISE ** 2;
    }
    [weight, east, north, depth, length] = [0, 0, 0, 0, 0];
  };
  let [lastEast, lastNorth] = [0, 0];
  for (let row = 0; row < soundings.count; row++) {
    const [x, y] = frame.toLocal(soundings.lat[row], soundings.lon[row]);
    if (row > 0) length += Math.hypot(x - lastEast, y - lastNorth);
    if (row > 0 && (soundings.pass[row] !== soundings.pass[row - 1] || length >= LENGTH)) close(row - 1);
    const w = soundings.weight[row];
    weight += w;
    east += w * x;
    north += w * y;
    depth += w * soundings.depth[row];
    [lastEast, lastNorth] = [x, y];
  }
  close(soundings.count - 1);
  const kept = columns.map((column) => column.slice(0, count));
  return {
    count,
    east: kept[0],
    north: kept[1],
    depth: kept[2],
    variance: kept[3],
    pass: binPass.slice(0, count),
  };
}
