import type { Diagnostic, Place } from '../../../shared/contract/index.ts';
import { parseNumber, gpx as says } from '../../../shared/text/index.ts';

/**
 * Position of a waypoint from its attributes; undefined, after a report, when it cannot be used.
 *
 * @param place Place of the waypoint, for messages.
 */
export function readPosition(
  lat: string | undefined,
  lon: string | undefined,
  place: Place,
  report: (diagnostic: Diagnostic) => void,
): { readonly lat: number; readonly lon: number } | undefined {
  const isSwapped = Math.abs(Number(lat)) > 90 && Math.abs(Number(lat)) <= 180 && Math.abs(Number(lon)) <= 90;
  const latValue = readCoordinate(lat, 'lat', 90, place, report, isSwapped);
  const lonValue = readCoordinate(lon, 'lon', 180, place, report, isSwapped);
  return latValue === undefined || lonValue === undefined ? undefined : { lat: latValue, lon: lonValue };
}

function readCoordinate(
  text: string | undefined,
  which: 'lat' | 'lon',
  limit: number,
  place: Place,
  report: (diagnostic: Diagnostic) => void,
  isSwapped: boolean,
): number | undefined {
  if (text === undefined) report(says.missingCoordinate(place, which));
  else {
    const value = parseNumber(text.trim());
    if (Number.isNaN(value)) {
      report(
        /^\s*[+-]?\d+,\d+\s*$/.test(text)
          ? says.commaCoordinate(place, which, text)
          : says.badCoordinate(place, which, text),
      );
    } else if (Math.abs(value) > limit) report(says.coordinateRange(place, which, text, isSwapped));
    else {
      if (/e/i.test(text)) report(says.exponentCoordinate(place, which, text));
      return value;
    }
  }
  return undefined;
}
