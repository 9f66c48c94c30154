import geomagnetism from 'geomagnetism';
import { bearingText } from '../text/index.ts';
import { wrapBearing } from './geodesic.ts';

/** Minimum horizontal field for a usable compass, nT: the limit of the blackout zone of the WMM report. */
const BLACKOUT_NT = 2000;

export type Declination = { readonly declination: number } | { readonly unknown: 'date' | 'magnetic-pole' };

/**
 * Returns the magnetic declination, deg, east positive, at sea level at a place on a day.
 *
 * @param day `YYYY-MM-DD`, taken at noon UTC.
 * @returns `unknown: 'date'` outside the days that the models cover (2014-12-15 to 2029-11-12),
 * `unknown: 'magnetic-pole'` where the horizontal field is under 2000 nT.
 *
 * From the World Magnetic Models 2015, 2020 and 2025 (NOAA and BGS) in npm geomagnetism. An altitude of 1 km
 * changes the declination by less than 0.01 deg, except near a magnetic pole.
 */
export function magneticDeclination(lat: number, lon: number, day: string): Declination {
  const model = modelOf(new Date(`${day}T12:00:00Z`));
  if (model === undefined) return { unknown: 'date' };
  const field = model.point([lat, lon, 0]);
  return field.h < BLACKOUT_NT ? { unknown: 'magnetic-pole' } : { declination: field.decl };
}

/** Returns undefined for a day that no model covers, where the package throws. */
function modelOf(date: Date): ReturnType<typeof geomagnetism.model> | undefined {
  try {
    return geomagnetism.model(date);
  } catch {
    return undefined;
  }
}

/** Converts a true bearing to a magnetic bearing, deg, [0, 360). @param declination deg, east positive. */
export const toMagnetic = (trueBearing: number, declination: number): number =>
  wrapBearing(trueBearing - declination);

/**
 * Returns a bearing as a compass shows it at a place on a day, such as `077M`, or the true bearing, such as
 * `070T`, where the declination is unknown.
 *
 * @param bearing True, deg. @param day `YYYY-MM-DD`.
 */
export function compassText(bearing: number, lat: number, lon: number, day: string): string {
  const found = magneticDeclination(lat, lon, day);
  return bearingText(bearing, 'M', 'declination' in found ? found.declination : undefined);
}
