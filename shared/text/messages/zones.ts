import { inKilometers } from '../../contract/index.ts';
import { messages } from './make.ts';

const shown = (value: unknown): string => (value === undefined ? 'nothing' : JSON.stringify(value));

/** Messages about the user's zones and shorelines, given as GeoJSON. */
export const zoneMessages = {
  ...messages('zones', 'error', {
    geojson: 'This is JSON, but not a GeoJSON FeatureCollection of polygons. Export the polygons as GeoJSON.',
    geometry: (number: number, type: string) =>
      `Feature ${number} is a ${type}, not a Polygon or MultiPolygon. Draw it as an area, or remove it.`,
    coordinates: (name: string) =>
      `${JSON.stringify(name)} is not made of closed rings of four or more [lon, lat] in degrees. Export the polygon again.`,
    uncut: (name: string) =>
      `An edge of ${JSON.stringify(name)} spans more than 180 degrees of longitude. Cut the polygon at 180 degrees into a MultiPolygon of two parts (RFC 7946, 3.1.9).`,
    rule: (name: string, found: unknown) =>
      `${JSON.stringify(name)} has rule ${shown(found)}. Set the property rule to "closed" or "slow".`,
    speed: (name: string, found: unknown) =>
      `${JSON.stringify(name)} has speed ${shown(found)}. Set the property speed to a speed with its unit, such as "5mph".`,
    hours: (name: string, open: unknown, close: unknown) =>
      `${JSON.stringify(name)} has open ${shown(open)} and close ${shown(close)}. Set both to times of one day, such as "07:00" and "19:00", or neither.`,
  }),
  ...messages('zones', 'warning', {
    'no-overlap': (distance: number, isSwapped: boolean) =>
      `These zones have no effect: the nearest is ${inKilometers(distance)} from your nearest mark. ${isSwapped ? 'Latitude and longitude swapped? GeoJSON has [lon, lat].' : 'Is this the file of another lake?'}`,
  }),
  ...messages('zones', 'note', {
    overlap: (first: string, second: string) =>
      `Zones ${JSON.stringify(first)} and ${JSON.stringify(second)} overlap. Where both apply, the water is closed.`,
  }),
};
