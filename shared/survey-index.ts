import KDBush from 'kdbush';
import { type CellBuffers, crowdedCells, makeCells } from './cell-means.ts';
import type { SoundingIndex, Survey } from './contract/soundings.ts';
import { localFrame, wrapLongitude } from './geodesy/local-frame.ts';

/** An index as plain memory that threads share: hand it to a worker and open it there with `fromBuffers`. */
export interface IndexBuffers {
  readonly tree: SharedArrayBuffer;
  /** deg, by row. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  /** Absent for a survey of places alone. */
  readonly cells?: CellBuffers;
}

/** A survey, or its places alone: there are no cells of them then. */
type Places = Pick<Survey, 'count' | 'lat' | 'lon'> & Partial<Survey>;

/** Fewest meters in a degree of latitude (at the equator), less 0.1 % so that a search box is never short. */
const LEAST_METERS_PER_DEGREE = 110_574 * 0.999;
/** Fewest meters in a degree of longitude, over the cosine of the latitude (equatorial radius), likewise. */
const LEAST_METERS_PER_DEGREE_EAST = 111_319 * 0.999;

/** Index of all soundings of a survey: some 0.1 s for 300,000 rows, once. */
export function indexSurvey(survey: Places): SoundingIndex {
  return fromBuffers(indexBuffers(survey));
}

/** Tree of all soundings over degrees of longitude and latitude, in shared memory. */
export function indexBuffers(survey: Places): IndexBuffers {
  const { count, lat, lon } = survey;
  // A tree of no rows is not a tree: it holds one row that no search box reaches.
  const tree = new KDBush(Math.max(1, count), 32, Float64Array, SharedArrayBuffer);
  for (let i = 0; i < count; i++) tree.add(wrapLongitude(lon[i]), lat[i]);
  if (count === 0) tree.add(1e6, 1e6);
  tree.finish();
  return { tree: tree.data as SharedArrayBuffer, lat, lon, cells: makeCells(survey) };
}

/** Index over memory made by `indexBuffers`, here or in another thread. */
export function fromBuffers(buffers: IndexBuffers): SoundingIndex {
  const tree = KDBush.from(buffers.tree);
  const { lat, lon } = buffers;
  return {
    within(atLat, atLon, radius) {
      const frame = localFrame(atLat, atLon);
      const found: number[] = [];
      for (const row of boxRows(tree, atLat, wrapLongitude(atLon), radius)) {
        const [east, north] = frame.toLocal(lat[row], lon[row]);
        if (east * east + north * north <= radius * radius) found.push(row);
      }
      return Array.from(Uint32Array.from(found).sort());
    },
    crowded: (atLat, atLon, radius) => crowdedCells(buffers.cells, atLat, wrapLongitude(atLon), radius),
  };
}

/** Rows in a box of degrees that holds the circle, in one or two pieces at the 180th meridian; all longitudes round a pole. */
function boxRows(tree: KDBush, lat: number, lon: number, radius: number): number[] {
  const reach = radius / LEAST_METERS_PER_DEGREE;
  const south = lat - reach;
  const north = lat + reach;
  if (south <= -89.9 || north >= 89.9) return tree.range(-180, south, 180, north);
  const cos = Math.cos((Math.max(Math.abs(south), Math.abs(north)) * Math.PI) / 180);
  const reachEast = radius / (LEAST_METERS_PER_DEGREE_EAST * cos);
  if (reachEast >= 180) return tree.range(-180, south, 180, north);
  const west = lon - reachEast;
  const east = lon + reachEast;
  const rows = tree.range(Math.max(west, -180), south, Math.min(east, 180), north);
  if (west < -180) return rows.concat(tree.range(west + 360, south, 180, north));
  if (east >= 180) return rows.concat(tree.range(-180, south, east - 360, north));
  return rows;
}
