import { zonesOption } from '../../../shared/contract/common-options.ts';
import { defineWriterPlugin, type FinishedRun, type OutputFile } from '../../../shared/contract/plugin.ts';
import type { Survey } from '../../../shared/contract/soundings.ts';
import { fromMeters, toMeters } from '../../../shared/geo/units.ts';
import { readZones, type Zone } from '../../../shared/geo/zones.ts';
import { lakeSpot } from '../table/lake-spots.ts';
import { asciiGridText, bottomGrid, geotiffBytes, zoneText } from './bottom-grid.ts';
import { contourLines } from './contour-lines.ts';

const GEOJSON = ['marks', 'boats', 'casts', 'landings', 'contours', 'soundings', 'zones'];
const GRIDS = ['bottom-depth', 'bottom-sd'];

/** What a run found as layers for maps and other programs, one geometry a file. */
export const layers = defineWriterPlugin({
  name: 'layers',
  summary: 'Writes layers for maps: marks, boats, casts, landings, contours, bottom grid, soundings, zones.',
  stage: 'writer',
  requires: ['bottom'],
  files: [
    ...GEOJSON.map((name) => `${name}.geojson`),
    ...GRIDS.flatMap((name) => [`${name}.asc`, `${name}.prj`]),
    'bottom.tif',
  ],
  options: {
    out: {
      kind: 'text',
      isPath: true,
      flag: 'layers',
      help: 'Folder for layers: marks, boats, casts, landings, contours, soundings and zones as GeoJSON, the bottom with its uncertainty as grids in meters.',
    },
    cell: {
      kind: 'length',
      min: 0.5,
      max: 100,
      default: 2,
      help: 'Width of a cell of the bottom grid.',
    },
    interval: {
      kind: 'length',
      min: 0.05,
      max: 100,
      help: 'Depth between two contours; default 2 ft, or 0.5 m with --units m.',
    },
    angles: {
      kind: 'count',
      min: 0,
      max: 9,
      default: 9,
      help: 'Next angles among boats, casts and landings, besides the two sides.',
    },
    zones: zonesOption,
  },
  async write(run, { cell, interval, angles, zones }) {
    const marks = markLayers(run, angles);
    const grid = await bottomGrid(run.waypoints, cell);
    const step = interval ?? (run.units === 'ft' ? toMeters(2, 'ft') : 0.5);
    const key = `depth_${run.units}`;
    const contours = (grid === undefined ? [] : contourLines(grid, step)).map(({ depth, line }, i) =>
      feature(`${i + 1}`, 'LineString', line.map(degrees), { [key]: round(fromMeters(depth, run.units), 2) }),
    );
    const closed = zones === undefined ? [] : readZones(zones.value, zones.file).zones.map(zoneFeature);
    const files: OutputFile[] = [
      ...Object.entries(marks).map(([name, features]) => layer(name, features)),
      layer('contours', contours),
      layer('soundings', soundingFeatures(run.survey, run.units)),
      layer('zones', closed),
    ];
    if (grid === undefined) return files;
    const values = { 'bottom-depth': grid.depth, 'bottom-sd': grid.sd };
    return [
      ...files,
      ...Object.entries(values).flatMap(([name, column]) => [
        { name: `${name}.asc`, content: asciiGridText(grid, column) },
        { name: `${name}.prj`, content: zoneText(grid) },
      ]),
      { name: 'bottom.tif', content: await geotiffBytes(grid) },
    ];
  },
});

interface Feature {
  readonly type: 'Feature';
  readonly id: string;
  readonly properties: Readonly<Record<string, unknown>>;
  readonly geometry: { readonly type: string; readonly coordinates: unknown };
}

/** The id stands among the properties too: many programs drop the other. */
const feature = (
  id: string,
  type: string,
  coordinates: unknown,
  properties: Readonly<Record<string, unknown>>,
): Feature => ({ type: 'Feature', id, properties: { id, ...properties }, geometry: { type, coordinates } });

/** Bytes of a layer, made piece by piece: a lake of soundings is longer than a text can be. */
function layer(name: string, features: Iterable<Feature>): OutputFile {
  const encoder = new TextEncoder();
  const chunks = [
    encoder.encode(`{"type":"FeatureCollection","creator":"downslope","name":"${name}","features":[`),
  ];
  let lines: string[] = [];
  let isFirst = true;
  const flush = (): void => {
    chunks.push(encoder.encode(lines.join('')));
    lines = [];
  };
  for (const each of features) {
    lines.push(`${isFirst ? '\n' : ',\n'}${JSON.stringify(each)}`);
    isFirst = false;
    if (lines.length === 10_000) flush();
  }
  lines.push('\n]}\n');
  flush();
  const content = new Uint8Array(chunks.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const chunk of chunks) {
    content.set(chunk, at);
    at += chunk.length;
  }
  return { name: `${name}.geojson`, content };
}

/** Marks, and boats, casts and landings tied to them by ids: mark `3`, its casts `3-downslope`, `3-upslope`, `3-angle-1`. */
function markLayers({ waypoints, fields, units }: FinishedRun, angles: number): Record<string, Feature[]> {
  const found: Record<string, Feature[]> = { marks: [], boats: [], casts: [], landings: [] };
  for (const [i, enriched] of waypoints.entries()) {
    const { waypoint } = enriched;
    const mark = `${i + 1}`;
    const { properties, casts } = lakeSpot(enriched, fields, units, angles);
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

/** Times before this are of clocks without days, s since 1970. */
const FIRST_DAY = 40 * 86_400;

const zoneFeature = ({ name, rule, speed, open, close, polygons }: Zone, i: number): Feature =>
  feature(
    `${i + 1}`,
    'MultiPolygon',
    polygons.map((polygon) => polygon.map((ring) => ring.map(degrees))),
    { name, rule, speed_m_s: speed, open_s: open, close_s: close },
  );

/** RFC 7946 positions: longitude first, 8 decimals are a millimeter. */
const degrees = ([lon, lat]: readonly [number, number]): [number, number] => [round(lon, 8), round(lat, 8)];

/** A longitude on the side of the antimeridian that another is on. */
const nearLon = (from: number, to: number): number => to - 360 * Math.round((to - from) / 360);

const round = (value: number, decimals: number): number => Number(value.toFixed(decimals));
