import {
  type Diagnostic,
  type Projection,
  type ReaderContext,
  Refusal,
} from '../../../shared/contract/index.ts';
import { epsgOf, type MapSystem, mapSystem, nearestOf } from '../../../shared/geo/index.ts';
import { readerMessages as says } from '../../../shared/text/index.ts';
import type { ReaderOptions, Tally } from '../../formats/csv/index.ts';

/** Waypoints of the run, used to detect a wrong projection zone and to suggest a missing one. */
export type WaypointPlaces = readonly { readonly lat: number; readonly lon: number }[];

/** Maximum distance of a log from the nearest waypoint, m; judgment. Most wrong zones move a log farther. */
const FARTHEST = 100_000;
/** Maximum difference in longitude from the central meridian of the zone, deg; judgment. */
const WIDEST = 6;

export function readerContext(
  file: string,
  options: ReaderOptions,
  places: WaypointPlaces,
  tally: Tally,
  progress: (share: number) => void,
): ReaderContext {
  const inFile = (diagnostic: Diagnostic): Diagnostic => ({
    ...diagnostic,
    place: { file, ...diagnostic.place },
  });
  return {
    columns: options.columns,
    report: (diagnostic) => tally.flag(inFile(diagnostic)),
    drop: (diagnostic) => {
      tally.read++;
      tally.drop(inFile(diagnostic));
    },
    progress,
    projection: (said) => projectionOf(file, options.crs, said, places, tally),
  };
}

async function projectionOf(
  file: string,
  given: string | undefined,
  said: string | undefined,
  places: WaypointPlaces,
  tally: Tally,
): Promise<Projection> {
  const at = { file };
  if (given === undefined && said === undefined) return missing(file, await gridHere(places), places);
  const [ours, theirs] = [given, said].map((text) => (text === undefined ? undefined : epsgOf(text)));
  if (ours !== undefined && theirs !== undefined && ours !== theirs)
    throw new Refusal([says['crs-other'](at, given!, `EPSG:${theirs}`)]);
  // The user's option takes precedence over a map grid that the file defines without an EPSG number, but not
  // over degrees.
  const isGiven = given !== undefined && !/^\s*GEOG/.test(said ?? '');
  const used = isGiven ? given : said!;
  const name = isGiven ? ours : theirs;
  const named = name === undefined ? nameOf(used) : `EPSG:${name}`;
  const label = isGiven ? `--crs ${named}` : named;
  const system = await mapSystem(used);
  if (system === 'unknown') throw new Refusal([says['crs-unknown'](at, label)]);
  if (system === 'datum') throw new Refusal([says['crs-datum'](at, label)]);
  if (system.isApproximate) tally.flagOnce(says['crs-approximate'](at, label));
  return checked(system, label, file, places);
}

/** Returns the name of a coordinate system from its definition in WKT: the first quoted text. */
const nameOf = (definition: string): string =>
  (/"([^"]*)"/.exec(definition)?.[1] ?? definition).replace(/[^\x20-\x7e]/g, '?').slice(0, 60);

/** Returns the UTM zone of the first waypoint; undefined without waypoints. */
async function gridHere([place]: WaypointPlaces): Promise<{ crs: string; system: MapSystem } | undefined> {
  if (place === undefined) return undefined;
  const zone = Math.min(60, Math.floor((place.lon + 180) / 6) + 1);
  const crs = `EPSG:${(place.lat < 0 ? 32700 : 32600) + zone}`;
  const system = await mapSystem(crs);
  return typeof system === 'string' ? undefined : { crs, system };
}

/** Returns a projection that refuses every position. The message names the zone `here` if it fits. */
const missing =
  (file: string, here: Awaited<ReturnType<typeof gridHere>>, places: WaypointPlaces): Projection =>
  (x, y) => {
    const [lon, lat] = here?.system.toDegrees(x, y) ?? [Number.NaN, Number.NaN];
    const meters = nearestOf({ lat, lon }, places);
    const near = here !== undefined && meters < FARTHEST ? { crs: here.crs, meters } : undefined;
    throw new Refusal([says['crs-missing']({ file }, x, y, near)]);
  };

/** Returns a projection that refuses a wrong zone, judged by the first position that is finite. */
function checked(
  { toDegrees, meridian }: MapSystem,
  label: string,
  file: string,
  places: WaypointPlaces,
): Projection {
  let isChecked = false;
  return (x, y) => {
    const place = toDegrees(x, y);
    if (isChecked || !Number.isFinite(x + y)) return place;
    isChecked = true;
    const [lon, lat] = place;
    const isOutside = meridian !== undefined && Math.abs(((lon - meridian + 540) % 360) - 180) > WIDEST;
    if (Number.isNaN(lon) || isOutside) throw new Refusal([says['crs-outside']({ file }, label, x, y)]);
    const nearest = nearestOf({ lat, lon }, places);
    if (nearest > FARTHEST && places.length > 0)
      throw new Refusal([says['crs-elsewhere']({ file }, label, nearest)]);
    return place;
  };
}
