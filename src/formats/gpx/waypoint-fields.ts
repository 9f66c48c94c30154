import type { Place, Report } from '../../../shared/contract/index.ts';
import { parseNumber, gpxMessages as says } from '../../../shared/text/index.ts';

/**
 * Reads the position of a waypoint from its attributes; undefined for an unusable one, which is reported.
 *
 * @param place Place of the waypoint, for messages.
 */
export function readPosition(
  lat: string | undefined,
  lon: string | undefined,
  place: Place,
  report: Report,
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
  report: Report,
  isSwapped: boolean,
): number | undefined {
  if (text === undefined) report(says['coordinates missing'](place, which));
  else {
    const value = parseNumber(text.trim());
    if (Number.isNaN(value)) {
      report(
        /^\s*[+-]?\d+,\d+\s*$/.test(text)
          ? says['coordinates comma'](place, which, text)
          : says.coordinates(place, which, text),
      );
    } else if (Math.abs(value) > limit) report(says['coordinates range'](place, which, text, isSwapped));
    else {
      if (/e/i.test(text)) report(says['coordinates exponent'](place, which, text));
      return value;
    }
  }
  return undefined;
}

/** GPX `type` of the day plan stops that we write as waypoints. */
export const STOP_TYPE = 'day plan stop';
/** Start of our comments on places of a day plan that are not stops. */
export const PLAN_PLACE = 'Day plan: ';
/** Start of our comments on stops: the hours, then the boat, cast or minutes. The rest may have been cut. */
const STOP_COMMENT = /^\d\d:\d\d-\d\d:\d\d, (?:boat \d|cast \d|\d+min)/;

/** True for a stop or other place of a day plan, even if a chartplotter dropped the type. */
export const isPlanStop = (type: string, comment: string): boolean =>
  type === STOP_TYPE || STOP_COMMENT.test(comment) || comment.startsWith(PLAN_PLACE);
