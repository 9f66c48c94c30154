import { inKilometers } from '../../contract/index.ts';
import { messages } from './make.ts';

/** Formats a property of a zone with its value: `rule "open"`, or `no rule`. */
const shown = (name: string, value: unknown): string =>
  value === undefined ? `no ${name}` : `${name} ${JSON.stringify(value)}`;

const placeAdvice = (isSwapped: boolean): string =>
  isSwapped
    ? 'Latitude and longitude look swapped: write [lon, lat].'
    : 'Check that this file is of the same lake.';

/** Messages about the user's zones and shorelines, given as GeoJSON. */
export const zoneMessages = {
  ...messages('zones', 'error', {
    geojson:
      'This file is JSON, but neither a FeatureCollection nor a Feature of GeoJSON. Export the polygons as GeoJSON.',
    'geojson bare': (type: string) =>
      `This file is GeoJSON, but only a bare ${type}. ${/Polygon$/.test(type) ? `Export it as a feature, or put the ${type} into a Feature.` : 'Draw the areas as polygons, and export them as features.'}`,
    geometry: (number: number, type: string) =>
      `Feature ${number} ${type === 'undefined' ? 'has no geometry' : `is a ${type}, not a Polygon or MultiPolygon`}. Draw it as an area, or remove it.`,
    coordinates: (name: string) =>
      `${JSON.stringify(name)} is not made of closed rings of four or more positions [lon, lat] in degrees. Export the polygon again, in degrees (EPSG:4326).`,
    uncut: (name: string) =>
      `An edge of ${JSON.stringify(name)} spans more than 180 degrees of longitude. Cut the polygon at 180 degrees into a MultiPolygon of two parts (RFC 7946, 3.1.9).`,
    rule: (name: string, found: unknown) =>
      `${JSON.stringify(name)} has ${shown('rule', found)}. Set its property rule to "closed" or "slow".`,
    speed: (name: string, found: unknown) =>
      `${JSON.stringify(name)} has ${shown('speed', found)}. Set its property speed to a speed with its unit, such as "5mph".`,
    hours: (name: string, open: unknown, close: unknown) =>
      `${JSON.stringify(name)} has ${open === undefined ? `${shown('close', close)}, but no open` : `${shown('open', open)} and ${shown('close', close)}`}. Set both to times of one day, open before close, such as "07:00" and "19:00", or set neither.`,
    'shore-away': (distance: number, isSwapped: boolean) =>
      `The day cannot be planned: this shoreline is ${inKilometers(distance)} from your nearest mark. ${placeAdvice(isSwapped)}`,
  }),
  ...messages('zones', 'warning', {
    'no-zones': 'No water counts as closed or slow: this file has no zones in it. Export the polygons again.',
    'no-shore': 'Runs are planned without a shoreline: this file has none in it. Export its polygons again.',
    'no-overlap': (count: number, distance: number, isSwapped: boolean) =>
      `${count === 1 ? 'The zone has no effect: it is' : 'The zones have no effect: the nearest is'} ${inKilometers(distance)} from your nearest mark. ${placeAdvice(isSwapped)}`,
  }),
  ...messages('zones', 'note', {
    overlap: (first: string, second: string) =>
      `Zones ${JSON.stringify(first)} and ${JSON.stringify(second)} overlap. Where both apply, the water is closed.`,
  }),
};
