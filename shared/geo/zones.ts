import { bbox, booleanPointInPolygon, lineIntersect, multiPolygon, point } from '@turf/turf';
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

/** A stretch of water with a rule, as the user gives it. */
export interface Zone {
  readonly name: string;
  readonly rule: 'closed' | 'slow';
  /** m/s; set for slow zones. */
  readonly speed?: number;
  /** The rule does not hold between these times, s of the day; both absent when it always holds. */
  readonly open?: number;
  readonly close?: number;
  /** Polygons: outer ring, then holes; `[lon, lat]`, deg. */
  readonly polygons: readonly Polygon[];
  /** The edges of each. */
  readonly edges: readonly PolygonEdges[];
  readonly box: Box;
}

/**
 * Zones from GeoJSON: polygons with `rule` closed or slow, `speed` (with unit) of a slow one, `name`, and
 * `open` and `close` when the rule does not hold all day.
 *
 * @param value Parsed JSON: a FeatureCollection or one Feature. @param file For messages.
 * @returns the zones, and what is wrong with the file; if that includes an error, the zones must not be used.
 */
export function readZones(value: unknown, file: string): { zones: Zone[]; diagnostics: Diagnostic[] } {
  const zones: Zone[] = [];
  const diagnostics: Diagnostic[] = [];
  for (const [index, feature] of featuresOf(value, file, diagnostics).entries()) {
    const zone = readZone(feature, index + 1, file, diagnostics);
    if (zone !== undefined) zones.push(zone);
  }
  diagnostics.push(...overlaps(zones, file));
  return { zones, diagnostics };
}

/** The zones of a file, read once for all marks. @param value As for `readZones`; it must not change. */
export function zonesOf({ file, value }: JsonFile): readonly Zone[] {
  const zones = known.get(value as object) ?? readZones(value, file).zones;
  known.set(value as object, zones);
  return zones;
}

/** How far the nearest of some zones is from all places, when that is another lake; undefined where one is near. */
export function zonesFarOff(
  zones: readonly Pick<Zone, 'box'>[],
  places: readonly FarPlace[],
): ReturnType<typeof farOff> {
  if (places.length === 0) return undefined;
  const corners = zones.flatMap(({ box: { west, east, south, north } }) =>
    [south, (south + north) / 2, north].flatMap((lat) =>
      [west, (west + east) / 2, east].map((lon) => ({ lat, lon })),
    ),
  );
  let best: ReturnType<typeof farOff>;
  for (const corner of corners) {
    const far = farOff(corner, places);
    if (far === undefined) return undefined;
    if (best === undefined || far.distance < best.distance) best = far;
  }
  return best;
}

const known = new WeakMap<object, readonly Zone[]>();

export const boxesMeet = (a: Box, b: Box): boolean =>
  a.west <= b.east && b.west <= a.east && a.south <= b.north && b.south <= a.north;

interface Feature {
  readonly geometry: { readonly type: string; readonly coordinates: unknown };
  readonly properties?: Readonly<Record<string, unknown>> | null;
}

/** The polygon features of a GeoJSON value; reports others as errors. */
function featuresOf(value: unknown, file: string, diagnostics: Diagnostic[]): Feature[] {
  const item = value as { type?: unknown; features?: unknown } | null;
  const features =
    item?.type === 'FeatureCollection' && Array.isArray(item.features)
      ? item.features
      : item?.type === 'Feature'
        ? [item]
        : undefined;
  if (features === undefined) {
    diagnostics.push(says.geojson({ file }));
    return [];
  }
  return features.filter((feature, index): feature is Feature => {
    const type = (feature as Partial<Feature> | null)?.geometry?.type;
    if (type === 'Polygon' || type === 'MultiPolygon') return true;
    diagnostics.push(says.geometry({ file }, index + 1, String(type)));
    return false;
  });
}

function readZone(
  feature: Feature,
  number: number,
  file: string,
  diagnostics: Diagnostic[],
): Zone | undefined {
  const properties = feature.properties ?? {};
  const name =
    typeof properties.name === 'string' && properties.name !== '' ? properties.name : `zone ${number}`;
  const refuse = (diagnostic: Diagnostic): undefined => void diagnostics.push(diagnostic);
  const polygons = usablePolygons(feature, file, name, diagnostics);
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

/** Polygons of a feature; undefined when a ring is not a closed ring of positions. */
function readPolygons({ geometry }: Feature): Polygon[] | undefined {
  const list = geometry.type === 'Polygon' ? [geometry.coordinates] : geometry.coordinates;
  if (!Array.isArray(list) || list.length === 0) return undefined;
  const isGood = list.every(
    (polygon) => Array.isArray(polygon) && polygon.length > 0 && polygon.every((ring) => isRing(ring)),
  );
  return isGood ? (list as Polygon[]) : undefined;
}

/** Polygons of a feature; undefined after a report of what is wrong with them. */
function usablePolygons(
  feature: Feature,
  file: string,
  name: string,
  diagnostics: Diagnostic[],
): Polygon[] | undefined {
  const polygons = readPolygons(feature);
  if (polygons === undefined) diagnostics.push(says.coordinates({ file }, name));
  const isUncut = polygons
    ?.flat()
    .some((ring) => ring.some(([lon], at) => at > 0 && Math.abs(lon - ring[at - 1][0]) > 180));
  if (!isUncut) return polygons;
  diagnostics.push(says.uncut({ file }, name));
  return undefined;
}

/** Polygons of a shoreline; if there is any diagnostic, they must not be used. */
export function readShore(value: unknown, file: string): { polygons: Polygon[]; diagnostics: Diagnostic[] } {
  const diagnostics: Diagnostic[] = [];
  const polygons = featuresOf(value, file, diagnostics).flatMap((feature, index) => {
    const name = feature.properties?.name;
    const called = typeof name === 'string' && name !== '' ? name : `feature ${index + 1}`;
    return usablePolygons(feature, file, called, diagnostics) ?? [];
  });
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

function boxOf(polygons: readonly Polygon[]): Box {
  const [west, south, east, north] = bbox(areaOf(polygons));
  return { west, south, east, north };
}

const areaOf = (polygons: readonly Polygon[]) => multiPolygon(polygons as [number, number][][][]);

/** One message for each pair of a closed and a slow zone that overlap: the water they share is closed. */
function overlaps(zones: readonly Zone[], file: string): Diagnostic[] {
  const found: Diagnostic[] = [];
  zones.forEach((a, at) => {
    for (const b of zones.slice(at + 1)) {
      if (a.rule !== b.rule && zonesMeet(a, b)) found.push(says.overlap({ file }, a.name, b.name));
    }
  });
  return found;
}

/** True where the edges of two zones meet, or one lies in the other. */
function zonesMeet(a: Zone, b: Zone): boolean {
  if (!boxesMeet(a.box, b.box)) return false;
  const [first, second] = [areaOf(a.polygons), areaOf(b.polygons)];
  const holds = (outer: typeof first, inner: Zone): boolean =>
    inner.polygons.some(([[corner]]) => booleanPointInPolygon(point([...corner]), outer));
  return holds(first, b) || holds(second, a) || lineIntersect(first, second).features.length > 0;
}

/** Hours of the day for which a rule is checked, s of the day. */
export interface Hours {
  readonly from: number;
  readonly to: number;
}

const ALL_DAY: Hours = { from: 0, to: 86_400 };

/** True when a zone's rule holds at any moment of the hours. */
export const holdsDuring = (zone: Zone, { from, to }: Hours = ALL_DAY): boolean =>
  zone.open === undefined || zone.close === undefined || from < zone.open || to > zone.close;

/** Zones that contain a place and whose rule holds at any moment of the hours. */
export function zonesAt(zones: readonly Zone[], lat: number, lon: number, hours: Hours = ALL_DAY): Zone[] {
  return zones.filter(
    (zone) =>
      lat >= zone.box.south &&
      lat <= zone.box.north &&
      lon >= zone.box.west &&
      lon <= zone.box.east &&
      holdsDuring(zone, hours) &&
      isInside(zone.edges, lat, lon),
  );
}

/** The closed zone that a place is in at any moment of the hours, if any. */
export const closedZoneAt = (
  zones: readonly Zone[],
  lat: number,
  lon: number,
  hours: Hours = ALL_DAY,
): Zone | undefined => zonesAt(zones, lat, lon, hours).find(({ rule }) => rule === 'closed');

/** True when a place is in a closed zone at any moment of the hours. */
export const isClosed = (zones: readonly Zone[], lat: number, lon: number, hours: Hours = ALL_DAY): boolean =>
  closedZoneAt(zones, lat, lon, hours) !== undefined;

/** True when a straight run touches a zone that is closed at any moment of the hours. */
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
