import type { DisplayUnits } from '../../shared/contract/index.ts';
import type { DayPlan, Run, RunPart } from '../../shared/day/index.ts';
import { geodesicInverse } from '../../shared/geo/index.ts';
import { bearingDigits, distanceText } from '../../shared/text/index.ts';

/** Maximum number of legs listed for one part of a run. */
const WRITTEN = 4;

/**
 * Describes each part of a run: `054M 0.8 mi, 110M 200yd; 60yd not sounded, no line; 054M 0.2 mi`. A part
 * over unknown water is given as its length and a remark, any other part as its first `WRITTEN` straight legs
 * and the number of the rest, with a remark if the part is only known to be inside the shoreline. Parts and
 * legs shorter than 1 m are left out.
 */
export function legsText(run: Run, declination: number | undefined, units: DisplayUnits): string {
  return run.parts
    .filter(({ distance }) => distance >= 1)
    .map((part) => {
      if (part.over === 'unknown') return `${distanceText(part.distance, units)} not sounded, no line`;
      const legs = partLegs(part, declination, units);
      return part.over === 'known' ? legs : `${legs} inside your shoreline only, not sounded, no line`;
    })
    .filter((text) => text !== '')
    .join('; ');
}

function partLegs({ line, over }: RunPart, declination: number | undefined, units: DisplayUnits): string {
  const legs: string[] = [];
  for (let at = 1; at < line.length; at++) {
    const [from, to] = [line[at - 1], line[at]];
    const { distance, bearing } = geodesicInverse(from.lat, from.lon, to.lat, to.lon);
    if (distance < 1) continue;
    const shown = declination === undefined ? bearing : bearing - declination;
    const digits = bearingDigits((shown + 360) % 360);
    legs.push(`${digits}${declination === undefined ? 'T' : 'M'} ${distanceText(distance, units)}`);
  }
  const more = legs.length - WRITTEN;
  return [
    ...legs.slice(0, WRITTEN),
    ...(more > 0 ? [`${more} more${over === 'known' ? ' in the GPX' : ''}`] : []),
  ].join(', ');
}

/** Returns the magnetic declination, deg, positive east, from the first cast with both bearings, if any. */
export function declinationOf({ stops }: DayPlan): number | undefined {
  const side = stops
    .map((stop) => stop.side)
    .find((one) => one.castMagnetic !== undefined && one.castTrue !== undefined);
  if (side === undefined) return undefined;
  const turn = side.castTrue! - side.castMagnetic!;
  return ((turn + 540) % 360) - 180;
}
