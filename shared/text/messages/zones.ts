import { type Diagnostic, inKilometers } from '../../contract/index.ts';

/** Messages about the user's zones and shorelines, given as GeoJSON. */

const error = (code: string, file: string, message: string): Diagnostic => ({
  severity: 'error',
  code: `zones/${code}`,
  message,
  place: { file },
});

const shown = (value: unknown): string => (value === undefined ? 'nothing' : JSON.stringify(value));

export const zonesNotGeoJson = (file: string): Diagnostic =>
  error(
    'geojson',
    file,
    'This is JSON, but not a GeoJSON FeatureCollection of polygons. Export the polygons as GeoJSON.',
  );

export const zoneGeometry = (file: string, number: number, type: string): Diagnostic =>
  error(
    'geometry',
    file,
    `Feature ${number} is a ${type}, not a Polygon or MultiPolygon. Draw it as an area, or remove it.`,
  );

export const zoneCoordinates = (file: string, name: string): Diagnostic =>
  error(
    'coordinates',
    file,
    `${JSON.stringify(name)} is not made of closed rings of four or more [lon, lat] in degrees. Export the polygon again.`,
  );

export const zoneUncut = (file: string, name: string): Diagnostic =>
  error(
    'uncut',
    file,
    `An edge of ${JSON.stringify(name)} spans more than 180 degrees of longitude. Cut the polygon at 180 degrees into a MultiPolygon of two parts (RFC 7946, 3.1.9).`,
  );

export const zoneRule = (file: string, name: string, found: unknown): Diagnostic =>
  error(
    'rule',
    file,
    `${JSON.stringify(name)} has rule ${shown(found)}. Set the property rule to "closed" or "slow".`,
  );

export const zoneSpeed = (file: string, name: string, found: unknown): Diagnostic =>
  error(
    'speed',
    file,
    `${JSON.stringify(name)} has speed ${shown(found)}. Set the property speed to a speed with its unit, such as "5mph".`,
  );

export const zoneHours = (file: string, name: string, open: unknown, close: unknown): Diagnostic =>
  error(
    'hours',
    file,
    `${JSON.stringify(name)} has open ${shown(open)} and close ${shown(close)}. Set both to times of one day, such as "07:00" and "19:00", or neither.`,
  );

export const zonesFar = (file: string, distance: number, isSwapped: boolean): Diagnostic => ({
  severity: 'warning',
  code: 'zones/no-overlap',
  message: `These zones keep no boat out of anything: the nearest is ${inKilometers(distance)} from your nearest mark. ${isSwapped ? 'Latitude and longitude swapped? GeoJSON has [lon, lat].' : 'Is it the file of another lake?'}`,
  place: { file },
});

export const zonesOverlap = (file: string, first: string, second: string): Diagnostic => ({
  severity: 'note',
  code: 'zones/overlap',
  message: `Zones ${JSON.stringify(first)} and ${JSON.stringify(second)} overlap. Where both hold, closed counts.`,
  place: { file },
});
