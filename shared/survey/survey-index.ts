import type { SoundingIndex, Survey } from '../contract/index.ts';
import { type LocalFrame, localFrame, wrapLongitude } from '../geo/index.ts';
import { crowdedCells, meansOf } from './cells/cell-means.ts';
import { type CellTable, cellsOfRow, eastOf, isPlace, northOf, tableOf } from './cells/cell-table.ts';

/** An index as memory that threads share: pass it to a worker and open it there with `fromBuffers`. */
export interface IndexBuffers {
  readonly table: CellTable;
  /** deg, by row. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  /** Records of the cells; absent when the survey has places only. */
  readonly means?: Float64Array;
}

/** A survey, or just its places; places alone have no cell means. */
type Places = Pick<Survey, 'count' | 'lat' | 'lon'> & Partial<Survey>;

/**
 * Fewest meters in a degree of latitude (at the equator), less 0.1 % so that a search box is never too small.
 */
const MIN_METERS_PER_DEGREE = 110_574 * 0.999;
/**
 * Meters in a degree of longitude divided by the cosine of the latitude (equatorial radius), less 0.1 % for
 * the same reason.
 */
const MIN_METERS_PER_DEGREE_EAST = 111_319 * 0.999;

/** Index of all soundings of a survey. Takes some 0.05 s for 300,000 rows, once per survey. */
export function indexSurvey(survey: Places): SoundingIndex {
  return fromBuffers(indexBuffers(survey));
}

/** Cells of all soundings and their means, in shared memory. */
export function indexBuffers(survey: Places): IndexBuffers {
  const { lat, lon } = survey;
  const { table, cellOf } = tableOf(survey);
  return { lat, lon, table, means: isWhole(survey) ? meansOf(survey, table, cellOf) : undefined };
}

const isWhole = (survey: Places): survey is Survey =>
  survey.depth !== undefined && survey.pass !== undefined && survey.weight !== undefined;

/** Index over buffers made by `indexBuffers` in this or another thread. */
export function fromBuffers({ table, lat, lon, means }: IndexBuffers): SoundingIndex {
  return {
    within(atLat, atLon, radius) {
      const frame = localFrame(atLat, atLon);
      const isIn = (row: number): boolean => isWithin(frame, lat[row], lon[row], radius);
      const rows = boxRows(table, atLat, wrapLongitude(atLon), radius);
      if (rows !== undefined) return Array.from(Uint32Array.from(rows.filter(isIn)).sort());
      const found: number[] = [];
      for (let row = 0; row < lat.length; row++) if (isIn(row)) found.push(row);
      return found;
    },
    crowded: (atLat, atLon, radius) =>
      means === undefined ? undefined : crowdedCells(table, means, atLat, wrapLongitude(atLon), radius),
  };
}

function isWithin(frame: LocalFrame, lat: number, lon: number, radius: number): boolean {
  const [east, north] = frame.toLocal(lat, lon);
  return east * east + north * north <= radius * radius;
}

/**
 * Rows in the cells of the box around the circle, in no particular order.
 *
 * @returns undefined where the box has more cells than there are rows, or reaches a pole or the 180th meridian.
 */
function boxRows(table: CellTable, lat: number, lon: number, radius: number): number[] | undefined {
  const reach = radius / MIN_METERS_PER_DEGREE;
  const south = lat - reach;
  const top = lat + reach;
  const cos = Math.cos((Math.max(Math.abs(south), Math.abs(top)) * Math.PI) / 180);
  const reachEast = radius / (MIN_METERS_PER_DEGREE_EAST * cos);
  if (![south, top].every((edge) => isPlace(edge, lon - reachEast) && isPlace(edge, lon + reachEast)))
    return undefined;
  const cells = (northOf(top) - northOf(south)) ** 2;
  if (cells > MAX_CELLS && cells > table.rows.length) return undefined;
  const found: number[] = [];
  for (let north = northOf(south); north <= northOf(top); north++) {
    const [from, to] = cellsOfRow(
      table,
      north,
      eastOf(north, lon - reachEast),
      eastOf(north, lon + reachEast),
    );
    for (let k = table.starts[from]; k < table.starts[to]; k++) found.push(table.rows[k]);
  }
  return found;
}

/** Up to this many cells are looked up even when the survey has fewer rows. */
const MAX_CELLS = 10_000;
