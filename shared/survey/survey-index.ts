import KDBush from 'kdbush';
import type { SoundingIndex, Survey } from '../contract/index.ts';
import { localFrame, MIN_METERS_PER_DEGREE, wrapLongitude } from '../geo/index.ts';
import { CAN_SHARE } from '../math/index.ts';

type Places = Pick<Survey, 'count' | 'lat' | 'lon'>;

/** Memory of an index, which can be sent to a worker thread and opened there with `fromBuffers`. */
export interface IndexBuffers extends Pick<Survey, 'lat' | 'lon'> {
  /** Search tree of longitude and latitude. */
  readonly tree: ArrayBufferLike;
}

/** Meters in a degree of longitude at the equator, less 0.1 % so that no search box is too small. */
const MIN_METERS_PER_DEGREE_EAST = 111_319 * 0.999;

export const indexSurvey = (places: Places): SoundingIndex => fromBuffers(indexBuffers(places));

export function indexBuffers({ count, lat, lon }: Places): IndexBuffers {
  const tree = new KDBush(count, undefined, undefined, CAN_SHARE ? SharedArrayBuffer : ArrayBuffer);
  for (let row = 0; row < count; row++) tree.add(lon[row], lat[row]);
  return { lat, lon, tree: tree.finish().data };
}

/** Opens an index that `indexBuffers` made in this or another thread. */
export function fromBuffers({ tree, lat, lon }: IndexBuffers): SoundingIndex {
  const index = KDBush.from(tree);
  return {
    within(atLat, atLon, radius) {
      const frame = localFrame(atLat, atLon);
      const middle = wrapLongitude(atLon);
      const reach = radius / MIN_METERS_PER_DEGREE;
      const farthest = Math.abs(atLat) + reach;
      const reachEast = radius / (MIN_METERS_PER_DEGREE_EAST * Math.cos((farthest * Math.PI) / 180));
      // Every row is checked where a box around the circle would reach a pole or the 180th meridian.
      const hasBox = farthest < 90 && Math.abs(middle) + reachEast < 180;
      const found = hasBox
        ? index.range(middle - reachEast, atLat - reach, middle + reachEast, atLat + reach)
        : lat.keys();
      // Typed arrays sort much faster than lists.
      const rows = Uint32Array.from(found).sort();
      const isIn = (row: number): boolean => {
        const [east, north] = frame.toLocal(lat[row], lon[row]);
        return east * east + north * north <= radius * radius;
      };
      return Array.from(rows.filter(isIn));
    },
  };
}
