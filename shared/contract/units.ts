/** Meters in one unit of length; exact by definition (international foot, 1959). */
export const METERS_PER = {
  m: 1,
  ft: 0.3048,
  yd: 0.9144,
  fm: 1.8288,
  cm: 0.01,
  mm: 0.001,
  km: 1000,
  mi: 1609.344,
} as const;

export type LengthUnit = keyof typeof METERS_PER;

/** Meters per second in one unit of speed; exact by definition. */
export const METERS_PER_SECOND_PER = {
  'm/s': 1,
  'km/h': 1 / 3.6,
  kmh: 1 / 3.6,
  mph: 0.44704,
  kn: 1852 / 3600,
} as const;

export type SpeedUnit = keyof typeof METERS_PER_SECOND_PER;

/** Units shown to the user: feet (casts in yards) or meters. */
export type DisplayUnits = 'ft' | 'm';

export const toMeters = (value: number, unit: LengthUnit): number => value * METERS_PER[unit];

export const fromMeters = (meters: number, unit: LengthUnit): number => meters / METERS_PER[unit];
