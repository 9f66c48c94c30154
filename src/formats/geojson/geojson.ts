import { gpx } from '@tmcw/togeojson';
import { DOMParser } from '@xmldom/xmldom';
import { omit, pickBy } from 'es-toolkit';
import type { Feature, Geometry } from 'geojson';
import type { Diagnostic, Report } from '../../../shared/contract/index.ts';
import { gpxOutputMessages as says } from '../../../shared/text/index.ts';
import { asBuffer, type GpxDocument, type GpxWaypoint, type LatLon, type Span } from '../gpx/index.ts';

export type GeoProperties = Readonly<Record<string, string | number>>;

export interface GeoCast {
  /** `downslope`, `upslope`, or `angle 1` and so on for the next angles. */
  readonly side: string;
  readonly boat: LatLon;
  readonly landing: LatLon;
  readonly properties: GeoProperties;
}

export interface GeoSpot {
  readonly file: string;
  readonly fileIndex: number;
  readonly properties: GeoProperties;
  readonly casts: readonly GeoCast[];
}

interface LakeGeoJson {
  readonly text: string;
  readonly diagnostics: readonly Diagnostic[];
}

/** Maximum length of a route or track, bytes; judgment. Its XML tree takes about 50 times as much memory. */
const LONGEST_LINE = 4 << 20;

/**
 * Formats GPX files and their results as GeoJSON (RFC 7946): waypoints, boat positions, landings, casts,
 * routes and tracks. Left out are waypoints without usable coordinates, places of a day plan, boat positions
 * of an earlier run, and the routes and tracks that `diagnostics` reports.
 */
export function lakeGeoJson(documents: readonly GpxDocument[], spots: readonly GeoSpot[]): LakeGeoJson {
  const diagnostics: Diagnostic[] = [];
  const features = documents.flatMap((document) => [
    ...waypointFeatures(document, spots),
    ...lineFeatures(document, (diagnostic) => diagnostics.push(diagnostic)),
  ]);
  const lines = features.map((feature) => JSON.stringify(feature)).join(',\n');
  return {
    text: `{"type":"FeatureCollection","creator":"downslope","features":[\n${lines}\n]}\n`,
    diagnostics,
  };
}

function waypointFeatures(document: GpxDocument, spots: readonly GeoSpot[]): Feature[] {
  const own = new Map(
    spots.filter(({ file }) => file === document.file).map((spot) => [spot.fileIndex, spot]),
  );
  return document.waypoints
    .filter(({ canEnrich, partner }) => canEnrich && partner === undefined)
    .flatMap((waypoint) => {
      const spot = own.get(waypoint.fileIndex);
      const feature = waypointFeature(document, waypoint);
      const properties = { kind: 'waypoint', ...feature.properties, ...spot?.properties };
      return [
        { ...feature, properties },
        ...(spot?.casts ?? []).flatMap((cast) => castFeatures(waypoint.name, cast)),
      ];
    });
}

/**
 * Makes the feature of a user's waypoint. Texts that this program's GPX reader found replace texts from
 * the library. Other properties come from the library, which cannot read elements with a namespace prefix.
 */
function waypointFeature(document: GpxDocument, waypoint: GpxWaypoint): Feature {
  const read = document.root.tag.includes(':') ? undefined : convert(document, waypoint.place)[0];
  const { name, comment, description, symbol, type } = waypoint;
  const texts = { name, cmt: comment, desc: description, sym: symbol, type };
  // The library also takes texts from links and extensions, and keeps this program's summary in the comment.
  const properties = {
    ...omit(read?.properties ?? {}, Object.keys(texts)),
    ...pickBy(texts, (text) => text !== ''),
  };
  return { type: 'Feature', properties, geometry: read?.geometry ?? point(waypoint) };
}

function castFeatures(of: string, { side, boat, landing, properties }: GeoCast): Feature[] {
  const feature = (kind: string, geometry: Geometry): Feature => ({
    type: 'Feature',
    properties: { kind, of, side, ...properties },
    geometry,
  });
  return [
    feature('boat position', point(boat)),
    feature('landing', point(landing)),
    feature('cast', line(boat, landing)),
  ];
}

function lineFeatures(document: GpxDocument, report: Report): Feature[] {
  const { file, lines, root } = document;
  if (lines.length > 0 && root.tag.includes(':')) {
    report(says['geojson prefix']({ file }, lines.length));
    return [];
  }
  const short = lines.filter(({ start, end }) => end - start <= LONGEST_LINE);
  const left = lines.length - short.length;
  if (left > 0) report(says['geojson size']({ file }, left, LONGEST_LINE >> 20));
  return short
    .flatMap((span) => convert(document, span))
    .map(({ properties, ...feature }) => ({
      ...feature,
      properties: { kind: properties?._gpxType === 'rte' ? 'route' : 'track', ...properties },
    }));
}

/** Converts one element. The library gets a document that holds only this element. */
function convert({ utf8, root }: GpxDocument, { start, end }: Span): Feature[] {
  const buffer = asBuffer(utf8);
  const head = buffer.toString('utf8', root.start, root.startTagEnd);
  const xml = `${head}${buffer.toString('utf8', start, end)}</${root.tag}>`;
  const dom = new DOMParser({ locator: false, onError: () => undefined }).parseFromString(xml, 'text/xml');
  return gpx(dom as never).features as Feature[];
}

/** Returns a position as in RFC 7946, longitude first; 7 decimals are about a centimeter. */
const position = ({ lat, lon }: LatLon): [number, number] => [Number(lon.toFixed(7)), Number(lat.toFixed(7))];

const point = (at: LatLon): Geometry => ({ type: 'Point', coordinates: position(at) });

/** Returns a line, split in two where it crosses the antimeridian. */
function line(from: LatLon, to: LatLon): Geometry {
  const turn = to.lon - from.lon;
  if (Math.abs(turn) <= 180) return { type: 'LineString', coordinates: [position(from), position(to)] };
  const edge = turn > 0 ? -180 : 180;
  const share = (edge - from.lon) / (turn - 360 * Math.sign(turn));
  const lat = from.lat + share * (to.lat - from.lat);
  return {
    type: 'MultiLineString',
    coordinates: [
      [position(from), position({ lat, lon: edge })],
      [position({ lat, lon: -edge }), position(to)],
    ],
  };
}
