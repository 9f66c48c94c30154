import type { Feature, Geometry } from 'geojson';
import {
  defineWriterPlugin,
  type FinishedRun,
  fromMeters,
  type OutputFile,
  type PluginContext,
  pathOption,
  type Survey,
} from '../../../shared/contract/index.ts';
import { readZones, type Zone } from '../../../shared/geo/index.ts';
import { zonesOption } from '../../../shared/retrieve/index.ts';
import { optionMessages as says } from '../../../shared/text/index.ts';
import { lakeSpot } from '../geojson/index.ts';
import { LAKE_FILES, lakeGridOptions } from './lake-options.ts';
import { layerBytes } from './layer.ts';

const GEOJSON = ['marks', 'boats', 'casts', 'landings', 'soundings', 'zones'];

/** Writer of results as layers for maps and other programs, one type of geometry per file. */
export const layers = defineWriterPlugin({
  name: 'layers',
  summary:
    'Writes layers for maps: marks, boats, casts, landings, soundings, zones, and the bottom of the lake.',
  stage: 'writer',
  requires: [],
  files: [...GEOJSON.map((name) => `${name}.geojson`), ...LAKE_FILES],
  options: {
    out: pathOption(
      'layers',
      'Folder for map layers as GeoJSON: marks, boats, casts, landings, soundings, zones, isobaths, lines, areas; and the bottom with its uncertainty as grids.',
    ),
    zones: zonesOption,
    ...lakeGridOptions,
  },
  async write(run, { zones, ...lake }, context) {
    const closed = zones === undefined ? [] : readZones(zones.value, zones.file).zones.map(zoneFeature);
    return [
      ...Object.entries(markLayers(run)).map(([name, features]) => layer(name, features)),
      layer('soundings', soundingFeatures(run.survey, run.units)),
      layer('zones', closed),
      ...(await bottomFiles(run, lake, context)),
    ];
  },
});

/** Makes the layers of the whole lake; none when nothing was sounded or the area is too large. */
async function bottomFiles(
  { survey, units, lake: known }: FinishedRun,
  { isobaths, cell, reach }: { readonly isobaths: number; readonly cell: number; readonly reach: number },
  { report }: PluginContext,
): Promise<OutputFile[]> {
  const [{ lakeFiles }, { LAKE_GRID, groundOf, makeLakeModel }] = await Promise.all([
    import('./lake-files.ts'),
    import('../../../shared/lake/index.ts'),
  ]);
  // The layers show the lake model of the run unless the user asks for another cell or reach.
  if (known !== undefined && cell === LAKE_GRID.cell && reach === LAKE_GRID.reach) {
    const grid = { ...groundOf(known), depth: known.depth, sd: known.sd };
    return await lakeFiles(grid, known.lines, known.areas, isobaths, units);
  }
  try {
    const made = makeLakeModel(survey, { ...LAKE_GRID, cell, reach });
    return made ? await lakeFiles(made.grid, made.lines, made.areas, isobaths, units) : [];
  } catch (cause) {
    if (!(cause instanceof RangeError)) throw cause;
    report({ ...says['command-line no-layers'](undefined, cell), severity: 'warning' });
    return [];
  }
}

/** The id is repeated among the properties because many programs drop the feature's own id. */
const feature = (
  id: string,
  type: string,
  coordinates: unknown,
  properties: Readonly<Record<string, unknown>>,
): Feature => ({
  type: 'Feature',
  id,
  properties: { id, ...properties },
  geometry: { type, coordinates } as Geometry,
});

const layer = (name: string, features: Iterable<Feature>): OutputFile => ({
  name: `${name}.geojson`,
  content: layerBytes(name, features),
});

/** Makes layers linked by id: mark `3` has the casts `3-downslope`, `3-upslope` and `3-angle-1`. */
function markLayers({ waypoints, fields, units }: FinishedRun): Record<string, Feature[]> {
  const found: Record<string, Feature[]> = { marks: [], boats: [], casts: [], landings: [] };
  for (const [i, enriched] of waypoints.entries()) {
    const { waypoint } = enriched;
    const mark = `${i + 1}`;
    const { properties, casts } = lakeSpot(enriched, fields, units);
    const { name, file, comment } = waypoint;
    found.marks.push(
      feature(mark, 'Point', degrees([waypoint.lon, waypoint.lat]), { name, file, comment, ...properties }),
    );
    for (const { side, boat, landing, properties: cast } of casts) {
      const id = `${mark}-${side.replaceAll(' ', '-')}`;
      const tied = { mark, name, side };
      const [from, to] = [
        degrees([boat.lon, boat.lat]),
        degrees([nearLon(boat.lon, landing.lon), landing.lat]),
      ];
      found.boats.push(feature(id, 'Point', from, { ...tied, ...cast }));
      found.casts.push(feature(id, 'LineString', [from, to], { ...tied, boat: id, landing: id, ...cast }));
      found.landings.push(feature(id, 'Point', degrees([landing.lon, landing.lat]), tied));
    }
  }
  return found;
}

function* soundingFeatures(survey: Survey, units: FinishedRun['units']): Generator<Feature> {
  const { count, lat, lon, depth, time, pass, weight, log, logs } = survey;
  for (let i = 0; i < count; i++) {
    const at =
      Number.isNaN(time[i]) || time[i] < FIRST_DAY ? undefined : new Date(time[i] * 1000).toISOString();
    yield feature(`${i + 1}`, 'Point', degrees([lon[i], lat[i]]), {
      [`depth_${units}`]: round(fromMeters(depth[i], units), 3),
      soundings: round(weight[i], 0),
      pass: pass[i],
      log: logs[log[i]].file,
      time: at,
    });
  }
}

/** Times before this, s since 1970, come from clocks without dates. */
const FIRST_DAY = 40 * 86_400;

const zoneFeature = ({ name, rule, speed, open, close, polygons }: Zone, i: number): Feature =>
  feature(
    `${i + 1}`,
    'MultiPolygon',
    polygons.map((polygon) => polygon.map((ring) => ring.map(degrees))),
    { name, rule, speed_m_s: speed, open_s: open, close_s: close },
  );

/** Returns a position as in RFC 7946, longitude first; 8 decimals are about a millimeter. */
const degrees = ([lon, lat]: readonly [number, number]): [number, number] => [round(lon, 8), round(lat, 8)];

/** Shifts longitude `to` by full turns to within 180 deg of longitude `from`. */
const nearLon = (from: number, to: number): number => to - 360 * Math.round((to - from) / 360);

const round = (value: number, decimals: number): number => Number(value.toFixed(decimals));
