import { type DisplayUnits, fromMeters } from '../../shared/contract/index.ts';
import type { DayPlan, Run } from '../../shared/day/index.ts';
import { geodesicInverse } from '../../shared/geo/index.ts';
import { bearingDigits, lengthText } from '../../shared/text/index.ts';
import { isDrawn } from './plan-gpx.ts';

/** Legs of a run that are written out; more are in the GPX. */
const WRITTEN = 4;
/** m; shorter ways are in yards or meters. */
const SHORT = 300;

/** `054M 0.8 mi, 110M 200yd`: the straight parts of a run over known water; empty for a run without a line. */
export function legsText(run: Run, declination: number | undefined, units: DisplayUnits): string {
  if (!isDrawn(run)) return '';
  const legs: string[] = [];
  for (let at = 1; at < run.line.length; at++) {
    const [from, to] = [run.line[at - 1], run.line[at]];
    const { distance, bearing } = geodesicInverse(from.lat, from.lon, to.lat, to.lon);
    if (distance < 1) continue;
    const shown = declination === undefined ? bearing : bearing - declination;
    const digits = bearingDigits((shown + 360) % 360);
    legs.push(`${digits}${declination === undefined ? 'T' : 'M'} ${wayText(distance, units)}`);
  }
  const more = legs.length - WRITTEN;
  return [...legs.slice(0, WRITTEN), ...(more > 0 ? [`${more} more in the GPX`] : [])].join(', ');
}

/** `2.4 mi`, `3.9 km`, or a short way in yards or meters. */
export function wayText(meters: number, units: DisplayUnits): string {
  if (meters < SHORT) return lengthText(meters, units);
  return units === 'ft' ? `${fromMeters(meters, 'mi').toFixed(1)} mi` : `${(meters / 1000).toFixed(1)} km`;
}

/** Magnetic declination of the day, deg east of true north, from a spot whose cast has both bearings. */
export function declinationOf({ stops }: DayPlan): number | undefined {
  const side = stops
    .map((stop) => stop.side)
    .find((one) => one.castMagnetic !== undefined && one.castTrue !== undefined);
  if (side === undefined) return undefined;
  const turn = side.castTrue! - side.castMagnetic!;
  return ((turn + 540) % 360) - 180;
}
