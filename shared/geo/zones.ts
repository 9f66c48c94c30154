import { bbox, booleanIntersects, multiPolygon } from '@turf/turf';
import { minBy } from 'es-toolkit/array';
import type { Diagnostic, JsonFile } from '../contract/index.ts';
import { parseClock, parseSpeed, zoneMessages as says } from '../text/index.ts';
import { type FarPlace, farOff } from './far-off.ts';
import {
  type Box,
  crossesPolygons,
  indexEdges,
  isInside,
  type Polygon,
  type PolygonEdges,
} from './polygon-edges.ts';

/** A stretch of water that the user declares closed or slow. */
export interface Zone {
  readonly name: string;
  readonly rule: 'closed' | 'slow';
  /** m/s; set for slow zones. */
  readonly speed?: number;
  /** Time at which the rule stops holding, s of the day; absent when the rule always holds. */
  readonly open?: number;
  /** Time at which the rule holds again, s of the day; absent when the rule always holds. */
  readonly close?: number;
  readonly polygons: readonly Polygon[];
  readonly edges: readonly PolygonEdges[];
  readonly box: Box;
}

/**
 * Reads zones from GeoJSON polygons with the properties `rule` (closed or slow), `speed` (with unit, for
 * slow), `name`, and `open` and `close` when the rule does not hold all day.
 *
 * @param value Parsed JSON: a FeatureCollection or one Feature. @param file For messages.
 * @returns The zones, errors in the file, a warning if it has no zones, and notes on overlaps. After an
 *   error, the zones must not be used.
 */
export function readZones(value: unknown, file: string): { zones: Zone[]; diagnostics: Diagnostic[] } {
  const zones: Zone[] = [];
  const diagnostics: Diagnostic[] = [];
  const refuse: Refuse = (diagnostic) => void diagnostics.push(diagnostic);
  for (const [number, feature] of featuresOf(value, file, refuse)) {
    const zone = readZone(feature, number, file, refuse);
    if (zone !== undefined) zones.push(zone);
  }
  if (zones.length === 0 && diagnostics.length === 0) diagnostics.push(says['no-zones']({ file }));
  diagnostics.push(...overlaps(zones, file));
  return { zones, diagnostics };
}

/** Returns the zones of a file. They are read once and kept by `value`, which must not change. */
export function zonesOf({ file, value }: JsonFile): readonly Zone[] {
  const zones = known.get(value as object) ?? readZones(value, file).zones;
  known.set(value as object, zones);
  return zones;
}

/**
 * Tells how far zones are from some places, as measured from nine points of each zone's box: corners, middles
 * of the sides, and center.
 *
 * @returns `farOff` of the nearest point; undefined if any point is near a place, or without zones or places.
 */
export function zonesFarOff(zones: readonly Pick<Zone, 'box'>[], places: readonly FarPlace[]) {
  const corners = zones.flatMap(({ box: { west, east, south, north } }) =>
    [south, (south + north) / 2, north].flatMap((lat) =>
      [west, (west + east) / 2, east].map((lon) => ({ lat, lon })),
    ),
  );
  const away = corners.map((corner) => farOff(corner, places));
  const far = away.filter((found) => found !== undefined);
  return far.length < away.length ? undefined : minBy(far, ({ distance }) => distance);
}

const known = new WeakMap<object, readonly Zone[]>();

export const boxesMeet = (a: Box, b: Box): boolean =>
  a.west <= b.east && b.west <= a.east && a.south <= b.north && b.south <= a.north;

interface Feature {
  readonly geometry: { readonly type: string; readonly coordinates: unknown };
  readonly properties?: Readonly<Record<string, unknown>> | null;
}

type Refuse = (diagnostic: Diagnostic) => undefined;

/**
 * Returns the polygon features of a GeoJSON value with their numbers, from 1, and reports anything else in the
 * value as an error.
 */
function featuresOf(value: unknown, file: string, refuse: Refuse): [number: number, feature: Feature][] {
  const item = value as { type?: unknown; features?: unknown } | null;
  const features = item?.type === 'Feature' ? [item] : item?.features;
  if ((item?.type !== 'Feature' && item?.type !== 'FeatureCollection') || !Array.isArray(features)) {
    const isBare = item !== null && typeof item === 'object' && 'coordinates' in item;
    refuse(isBare ? says['geojson bare']({ file }, String(item.type)) : says.geojson({ file }));
    return [];
  }
  return features.flatMap((feature: Partial<Feature> | null, index): [number, Feature][] => {
    const type = feature?.geometry?.type;
    if (type === 'Polygon' || type === 'MultiPolygon') return [[index + 1, feature as Feature]];
    refuse(says.geometry({ file }, index + 1, String(type)));
    return [];
  });
}

function readZone(feature: Feature, number: number, file: string, refuse: Refuse): Zone | undefined {
  const properties = feature.properties ?? {};
  const name = nameOf(feature, `zone ${number}`);
  const polygons = polygonsOf(feature, file, name, refuse);
  if (polygons === undefined) return undefined;
  const { rule } = properties;
  if (rule !== 'closed' && rule !== 'slow') return refuse(says.rule({ file }, name, rule));
  const speed = rule === 'slow' ? parseSpeed(String(properties.speed)) : undefined;
  if (speed !== undefined && !(speed > 0)) return refuse(says.speed({ file }, name, properties.speed));
  const [open, close] = [properties.open, properties.close].map((text) =>
    typeof text === 'string' ? parseClock(text) : undefined,
  );
  const hasHours = properties.open !== undefined || properties.close !== undefined;
  if (hasHours && (open === undefined || close === undefined || close <= open))
    return refuse(says.hours({ file }, name, properties.open, properties.close));
  return { name, rule, speed, open, close, polygons, edges: polygons.map(indexEdges), box: boxOf(polygons) };
}

const nameOf = ({ properties }: Feature, otherwise: string): string =>
  typeof properties?.name === 'string' && properties.name !== '' ? properties.name : otherwise;

function polygonsOf(
  { geometry }: Feature,
  file: string,
  name: string,
  refuse: Refuse,
): Polygon[] | undefined {
  const list = geometry.type === 'Polygon' ? [geometry.coordinates] : geometry.coordinates;
  const hasRings = (polygon: unknown): boolean =>
    Array.isArray(polygon) && polygon.length > 0 && polygon.every(isRing);
  if (!Array.isArray(list) || list.length === 0 || !list.every(hasRings))
    return refuse(says.coordinates({ file }, name));
  const polygons: Polygon[] = list;
  const isUncut = polygons
    .flat()
    .some((ring) => ring.some(([lon], at) => at > 0 && Math.abs(lon - ring[at - 1][0]) > 180));
  return isUncut ? refuse(says.uncut({ file }, name)) : polygons;
}

/** Reads the polygons of a shoreline from GeoJSON. After an error, the polygons must not be used. */
export function readShore(value: unknown, file: string): { polygons: Polygon[]; diagnostics: Diagnostic[] } {
  const diagnostics: Diagnostic[] = [];
  const refuse: Refuse = (diagnostic) => void diagnostics.push(diagnostic);
  const polygons = featuresOf(value, file, refuse).flatMap(
    ([number, feature]) => polygonsOf(feature, file, nameOf(feature, `feature ${number}`), refuse) ?? [],
  );
  if (polygons.length === 0 && diagnostics.length === 0) diagnostics.push(says['no-shore']({ file }));
  return { polygons, diagnostics };
}

function isRing(ring: unknown): boolean {
  if (!Array.isArray(ring) || ring.length < 4) return false;
  const places = ring.every(
    (place) =>
      Array.isArray(place) &&
      Number.isFinite(place[0]) &&
      Number.isFinite(place[1]) &&
      Math.abs(place[0]) <= 180 &&
      Math.abs(place[1]) <= 90,
  );
  const last = ring[ring.length - 1];
  return places && ring[0][0] === last[0] && ring[0][1] === last[1];
}

/** Returns the smallest box around polygons. */
export function boxOf(polygons: readonly Polygon[]): Box {
  const [west, south, east, north] = bbox(areaOf(polygons));
  return { west, south, east, north };
}

const areaOf = (polygons: readonly Polygon[]) => multiPolygon(polygons as [number, number][][][]);

/** Notes each pair of a closed and a slow zone that overlap: the water in both is closed. */
const overlaps = (zones: readonly Zone[], file: string): Diagnostic[] =>
  zones.flatMap((a, at) =>
    zones
      .slice(at + 1)
      .filter((b) => a.rule !== b.rule && booleanIntersects(areaOf(a.polygons), areaOf(b.polygons)))
      .map((b) => says.overlap({ file }, a.name, b.name)),
  );

/** Hours of the day for which a rule is checked, s of the day. */
export interface Hours {
  readonly from: number;
  readonly to: number;
}

const ALL_DAY: Hours = { from: 0, to: 86_400 };

/** True when a zone's rule holds at some time during the hours. */
export const holdsDuring = (zone: Zone, { from, to }: Hours = ALL_DAY): boolean =>
  zone.open === undefined || zone.close === undefined || from < zone.open || to > zone.close;

/** Returns the zones that contain a place and have a rule that holds at some time during the hours. */
export const zonesAt = (zones: readonly Zone[], lat: number, lon: number, hours: Hours = ALL_DAY): Zone[] =>
  zones.filter((zone) => holdsDuring(zone, hours) && isInside(zone.edges, lat, lon));

/** Returns the first zone that contains a place and is closed at some time during the hours. */
export const closedZoneAt = (
  zones: readonly Zone[],
  lat: number,
  lon: number,
  hours: Hours = ALL_DAY,
): Zone | undefined => zonesAt(zones, lat, lon, hours).find(({ rule }) => rule === 'closed');

export const isClosed = (zones: readonly Zone[], lat: number, lon: number, hours: Hours = ALL_DAY): boolean =>
  closedZoneAt(zones, lat, lon, hours) !== undefined;

/** True when the straight line between two places touches a zone closed at some time during the hours. */
export function crossesClosed(
  zones: readonly Zone[],
  lat1: number,
  lon1: number,
  lat2: number,
  lon2: number,
  hours: Hours = ALL_DAY,
): boolean {
  return zones.some(
    (zone) =>
      zone.rule === 'closed' &&
      holdsDuring(zone, hours) &&
      (isInside(zone.edges, lat1, lon1) ||
        isInside(zone.edges, lat2, lon2) ||
        crossesPolygons(zone.edges, lat1, lon1, lat2, lon2)),
  );
}
