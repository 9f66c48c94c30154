import { type Diagnostic, inKilometers } from '../../contract/index.ts';
import { error, note, warning } from './make.ts';

/** Messages about the user's zones and shorelines, given as GeoJSON. */

const shown = (value: unknown): string => (value === undefined ? 'nothing' : JSON.stringify(value));

export const zonesNotGeoJson = (file: string): Diagnostic =>
  error(
    'zones/geojson',
    'This is JSON, but not a GeoJSON FeatureCollection of polygons. Export the polygons as GeoJSON.',
    { place: { file } },
  );

export const zoneGeometry = (file: string, number: number, type: string): Diagnostic =>
  error(
    'zones/geometry',
    `Feature ${number} is a ${type}, not a Polygon or MultiPolygon. Draw it as an area, or remove it.`,
    { place: { file } },
  );

export const zoneCoordinates = (file: string, name: string): Diagnostic =>
  error(
    'zones/coordinates',
    `${JSON.stringify(name)} is not made of closed rings of four or more [lon, lat] in degrees. Export the polygon again.`,
    { place: { file } },
  );

export const zoneUncut = (file: string, name: string): Diagnostic =>
  error(
    'zones/uncut',
    `An edge of ${JSON.stringify(name)} spans more than 180 degrees of longitude. Cut the polygon at 180 degrees into a MultiPolygon of two parts (RFC 7946, 3.1.9).`,
    { place: { file } },
  );

export const zoneRule = (file: string, name: string, found: unknown): Diagnostic =>
  error(
    'zones/rule',
    `${JSON.stringify(name)} has rule ${shown(found)}. Set the property rule to "closed" or "slow".`,
    { place: { file } },
  );

export const zoneSpeed = (file: string, name: string, found: unknown): Diagnostic =>
  error(
    'zones/speed',
    `${JSON.stringify(name)} has speed ${shown(found)}. Set the property speed to a speed with its unit, such as "5mph".`,
    { place: { file } },
  );

export const zoneHours = (file: string, name: string, open: unknown, close: unknown): Diagnostic =>
  error(
    'zones/hours',
    `${JSON.stringify(name)} has open ${shown(open)} and close ${shown(close)}. Set both to times of one day, such as "07:00" and "19:00", or neither.`,
    { place: { file } },
  );

export const zonesFar = (file: string, distance: number, isSwapped: boolean): Diagnostic =>
  warning(
    'zones/no-overlap',
    `These zones keep no boat out of anything: the nearest is ${inKilometers(distance)} from your nearest mark. ${isSwapped ? 'Latitude and longitude swapped? GeoJSON has [lon, lat].' : 'Is it the file of another lake?'}`,
    { place: { file } },
  );

export const zonesOverlap = (file: string, first: string, second: string): Diagnostic =>
  note(
    'zones/overlap',
    `Zones ${JSON.stringify(first)} and ${JSON.stringify(second)} overlap. Where both apply, the water is closed.`,
    { place: { file } },
  );
