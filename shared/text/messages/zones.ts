import type { Diagnostic } from '../../contract/diagnostic.ts';

/** Messages about zones and shorelines that the person gives as GeoJSON. */

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
    'Unexpected JSON, expected a GeoJSON FeatureCollection of polygons. Export the polygons as GeoJSON.',
  );

export const zoneGeometry = (file: string, number: number, type: string): Diagnostic =>
  error(
    'geometry',
    file,
    `Unexpected geometry ${type} in feature ${number}, expected Polygon or MultiPolygon. Draw it as an area, or remove it.`,
  );

export const zoneCoordinates = (file: string, name: string): Diagnostic =>
  error(
    'coordinates',
    file,
    `Unexpected coordinates of ${JSON.stringify(name)}, expected closed rings of four or more [lon, lat] in degrees. Export the polygon again.`,
  );

export const zoneUncut = (file: string, name: string): Diagnostic =>
  error(
    'uncut',
    file,
    `Unexpected edge over more than 180 degrees of longitude in ${JSON.stringify(name)}, expected a polygon across 180 degrees to be cut there (RFC 7946, 3.1.9). Make it a MultiPolygon of two parts, one on each side.`,
  );

export const zoneRule = (file: string, name: string, found: unknown): Diagnostic =>
  error(
    'rule',
    file,
    `Unexpected rule ${shown(found)} of ${JSON.stringify(name)}, expected "closed" or "slow". Set the property rule.`,
  );

export const zoneSpeed = (file: string, name: string, found: unknown): Diagnostic =>
  error(
    'speed',
    file,
    `Unexpected speed ${shown(found)} of ${JSON.stringify(name)}, expected a speed with its unit such as "5mph". Set the property speed.`,
  );

export const zoneHours = (file: string, name: string, open: unknown, close: unknown): Diagnostic =>
  error(
    'hours',
    file,
    `Unexpected open ${shown(open)} and close ${shown(close)} of ${JSON.stringify(name)}, expected two times of one day such as "07:00" and "19:00". Give both or neither.`,
  );

export const zonesOverlap = (file: string, first: string, second: string): Diagnostic => ({
  severity: 'note',
  code: 'zones/overlap',
  message: `Zones ${JSON.stringify(first)} and ${JSON.stringify(second)} overlap; closed counts where both hold.`,
  place: { file },
});
