import { bboxClip } from '@turf/turf';
import type { Diagnostic } from '../contract/index.ts';
import { parseClock, parseSpeed, zones as says } from '../text/index.ts';

/** A stretch of water with a rule, as the user gives it. */
export interface Zone {
  readonly name: string;
  readonly rule: 'closed' | 'slow';
  /** m/s; set for slow zones. */
  readonly speed?: number;
  /** s of the day between which the rule does not hold; both absent when it always holds. */
  readonly open?: number;
  readonly close?: number;
  /** Polygons: outer ring, then holes; `[lon, lat]`, deg. */
  readonly polygons: readonly Polygon[];
  readonly box: Box;
}

export type Ring = readonly (readonly [lon: number, lat: number])[];
export type Polygon = readonly Ring[];

export interface Box {
  readonly west: number;
  readonly south: number;
  readonly east: number;
  readonly north: number;
}

/**
 * Zones from GeoJSON: polygons with `rule` closed or slow, `speed` (with unit) of a slow one, `name`, and
 * `open` and `close` when the rule does not hold all day.
 *
 * @param value Parsed JSON: a FeatureCollection or one Feature. @param file For messages.
 * @returns Zones, and what is wrong: with any error among it the zones must not be used.
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

/**
 * The zones whose box meets a box, each cut down to it: a shoreline of 20,000 corners has a handful near a mark.
 *
 * Places and runs well inside the box are judged as by the whole zones. The last zones read are kept for the next mark.
 * @param value As for `readZones`; it must not change.
 */
export function zonesWithin(value: object, file: string, box: Box): Zone[] {
  const zones = known.get(value) ?? readZones(value, file).zones;
  known.set(value, zones);
  return zones
    .filter((zone) => boxesMeet(zone.box, box))
    .map((zone) => ({ ...zone, polygons: zone.polygons.flatMap((polygon) => cutToBox(polygon, box)) }));
}

const known = new WeakMap<object, Zone[]>();

const boxesMeet = (a: Box, b: Box): boolean =>
  a.west <= b.east && b.west <= a.east && a.south <= b.north && b.south <= a.north;

/** A polygon inside a box; nothing where they do not meet. Its new edges run along the box. */
function cutToBox(rings: Polygon, { west, south, east, north }: Box): Polygon[] {
  const polygon = {
    type: 'Polygon' as const,
    coordinates: rings.map((ring) => ring.map((place) => [...place])),
  };
  const { coordinates } = bboxClip(polygon, [west, south, east, north]).geometry;
  return coordinates.length === 0 ? [] : [coordinates as unknown as Polygon];
}

interface Feature {
  readonly geometry: { readonly type: string; readonly coordinates: unknown };
  readonly properties?: Readonly<Record<string, unknown>> | null;
}

/** Features with polygons of a GeoJSON value; others are refused. */
function featuresOf(value: unknown, file: string, diagnostics: Diagnostic[]): Feature[] {
  const item = value as { type?: unknown; features?: unknown } | null;
  const features =
    item?.type === 'FeatureCollection' && Array.isArray(item.features)
      ? item.features
      : item?.type === 'Feature'
        ? [item]
        : undefined;
  if (features === undefined) {
    diagnostics.push(says.zonesNotGeoJson(file));
    return [];
  }
  return features.filter((feature, index): feature is Feature => {
    const type = (feature as Partial<Feature> | null)?.geometry?.type;
    if (type === 'Polygon' || type === 'MultiPolygon') return true;
    diagnostics.push(says.zoneGeometry(file, index + 1, String(type)));
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
  if (rule !== 'closed' && rule !== 'slow') return refuse(says.zoneRule(file, name, rule));
  const speed = rule === 'slow' ? parseSpeed(String(properties.speed)) : undefined;
  if (speed !== undefined && !(speed > 0)) return refuse(says.zoneSpeed(file, name, properties.speed));
  const [open, close] = [properties.open, properties.close].map((text) =>
    typeof text === 'string' ? parseClock(text) : undefined,
  );
  const hasHours = properties.open !== undefined || properties.close !== undefined;
  if (hasHours && (open === undefined || close === undefined || close <= open))
    return refuse(says.zoneHours(file, name, properties.open, properties.close));
  return { name, rule, speed, open, close, polygons, box: boxOf(polygons) };
}

/** Polygons of a feature; undefined when a ring is no closed ring of places. */
function readPolygons({ geometry }: Feature): Polygon[] | undefined {
  const list = geometry.type === 'Polygon' ? [geometry.coordinates] : geometry.coordinates;
  if (!Array.isArray(list) || list.length === 0) return undefined;
  const isGood = list.every(
    (polygon) => Array.isArray(polygon) && polygon.length > 0 && polygon.every((ring) => isRing(ring)),
  );
  return isGood ? (list as Polygon[]) : undefined;
}

/** Polygons of a feature, or undefined after saying what is wrong with them. */
function usablePolygons(
  feature: Feature,
  file: string,
  name: string,
  diagnostics: Diagnostic[],
): Polygon[] | undefined {
  const polygons = readPolygons(feature);
  if (polygons === undefined) diagnostics.push(says.zoneCoordinates(file, name));
  const isUncut = polygons
    ?.flat()
    .some((ring) => ring.some(([lon], at) => at > 0 && Math.abs(lon - ring[at - 1][0]) > 180));
  if (!isUncut) return polygons;
  diagnostics.push(says.zoneUncut(file, name));
  return undefined;
}

/** Polygons of a shoreline; with any diagnostic they must not be used. */
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

/** Box round all rings. */
function boxOf(polygons: readonly Polygon[]): Box {
  const box = { west: Infinity, south: Infinity, east: -Infinity, north: -Infinity };
  for (const [lon, lat] of polygons.flat(2)) {
    box.west = Math.min(box.west, lon);
    box.east = Math.max(box.east, lon);
    box.south = Math.min(box.south, lat);
    box.north = Math.max(box.north, lat);
  }
  return box;
}

/** Closed zones are taken before slow ones where they overlap: said once a pair. */
function overlaps(zones: readonly Zone[], file: string): Diagnostic[] {
  const found: Diagnostic[] = [];
  zones.forEach((a, at) => {
    for (const b of zones.slice(at + 1)) {
      if (a.rule !== b.rule && zonesMeet(a, b)) found.push(says.zonesOverlap(file, a.name, b.name));
    }
  });
  return found;
}

function zonesMeet(a: Zone, b: Zone): boolean {
  if (!boxesMeet(a.box, b.box)) return false;
  const meets = (one: Zone, other: Zone): boolean =>
    one.polygons.some((polygon) =>
      polygon.some((ring) =>
        ring.some(
          ([lon, lat], at) =>
            isInside(other.polygons, lat, lon) ||
            (at > 0 && crossesPolygons(other.polygons, ring[at - 1][1], ring[at - 1][0], lat, lon)),
        ),
      ),
    );
  return meets(a, b) || meets(b, a);
}

/** True for a place inside any of the polygons, holes left out; even-odd rule. */
export function isInside(polygons: readonly Polygon[], lat: number, lon: number): boolean {
  return polygons.some((polygon) => {
    let isIn = false;
    for (const ring of polygon) {
      for (let at = 1; at < ring.length; at++) {
        const [x1, y1] = ring[at - 1];
        const [x2, y2] = ring[at];
        if (y1 > lat !== y2 > lat && lon < x1 + ((lat - y1) / (y2 - y1)) * (x2 - x1)) isIn = !isIn;
      }
    }
    return isIn;
  });
}

/** True when the straight line between two places meets an edge of the polygons. */
function crossesPolygons(
  polygons: readonly Polygon[],
  lat1: number,
  lon1: number,
  lat2: number,
  lon2: number,
): boolean {
  if (Math.abs(lon2 - lon1) > 180) {
    // The short way leads over 180 degrees: its two ends, each seen from its own side.
    const turn = lon2 > lon1 ? 360 : -360;
    return (
      crossesPolygons(polygons, lat1, lon1, lat2, lon2 - turn) ||
      crossesPolygons(polygons, lat1, lon1 + turn, lat2, lon2)
    );
  }
  return polygons.some((polygon) =>
    polygon.some((ring) =>
      ring.some(
        ([x2, y2], at) =>
          at > 0 && segmentsMeet(lon1, lat1, lon2, lat2, ring[at - 1][0], ring[at - 1][1], x2, y2),
      ),
    ),
  );
}

function segmentsMeet(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  dx: number,
  dy: number,
): boolean {
  const turn = (px: number, py: number, qx: number, qy: number, rx: number, ry: number): number =>
    Math.sign((qx - px) * (ry - py) - (qy - py) * (rx - px));
  const between = (px: number, py: number, qx: number, qy: number, rx: number, ry: number): boolean =>
    Math.min(px, qx) <= rx && rx <= Math.max(px, qx) && Math.min(py, qy) <= ry && ry <= Math.max(py, qy);
  const t1 = turn(ax, ay, bx, by, cx, cy);
  const t2 = turn(ax, ay, bx, by, dx, dy);
  const t3 = turn(cx, cy, dx, dy, ax, ay);
  const t4 = turn(cx, cy, dx, dy, bx, by);
  if (t1 !== t2 && t3 !== t4) return true;
  return (
    (t1 === 0 && between(ax, ay, bx, by, cx, cy)) ||
    (t2 === 0 && between(ax, ay, bx, by, dx, dy)) ||
    (t3 === 0 && between(cx, cy, dx, dy, ax, ay)) ||
    (t4 === 0 && between(cx, cy, dx, dy, bx, by))
  );
}

/** Hours of a day for which a rule is asked, s of the day. */
export interface Hours {
  readonly from: number;
  readonly to: number;
}

const ALL_DAY: Hours = { from: 0, to: 86_400 };

/** True when a zone's rule holds at any moment of the hours. */
export const holdsDuring = (zone: Zone, { from, to }: Hours = ALL_DAY): boolean =>
  zone.open === undefined || zone.close === undefined || from < zone.open || to > zone.close;

/** Zones whose rule holds in the hours and that hold a place. */
export function zonesAt(zones: readonly Zone[], lat: number, lon: number, hours: Hours = ALL_DAY): Zone[] {
  return zones.filter(
    (zone) =>
      lat >= zone.box.south &&
      lat <= zone.box.north &&
      lon >= zone.box.west &&
      lon <= zone.box.east &&
      holdsDuring(zone, hours) &&
      isInside(zone.polygons, lat, lon),
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

/** True when a straight run touches a closed zone. */
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
      (isInside(zone.polygons, lat1, lon1) ||
        isInside(zone.polygons, lat2, lon2) ||
        crossesPolygons(zone.polygons, lat1, lon1, lat2, lon2)),
  );
}
