/** k0 to k5 of c = sum k_i T^i, with T in deg C and c in m/s. */
const COEFFICIENTS = {
  marczak: [1402.385, 5.038813, -5.799136e-2, 3.287156e-4, -1.398845e-6, 2.78786e-9],
  'bilaniuk-wong': [1402.38742, 5.03821344, -5.80539349e-2, 3.3200087e-4, -1.445379e-6, 2.99402365e-9],
  'del-grosso-mader': [1402.38754, 5.03711129, -5.80852166e-2, 3.34198834e-4, -1.47800417e-6, 3.14643091e-9],
} as const;

export type SoundSpeedEquation = keyof typeof COEFFICIENTS;
export const SOUND_SPEED_EQUATIONS = Object.keys(COEFFICIENTS) as SoundSpeedEquation[];

/**
 * Returns the speed of sound in fresh water at atmospheric pressure, m/s.
 *
 * The three equations agree within 0.05 m/s. Pressure adds 0.02 m/s per meter of depth and is ignored.
 *
 * Sources: Marczak 1997, J. Acoust. Soc. Am. 102(5) 2776; Bilaniuk and Wong 1993, J. Acoust. Soc. Am. 93(3)
 * 1609 (112-point form, with the 1996 erratum); Del Grosso and Mader 1972, J. Acoust. Soc. Am. 52(5) 1442,
 * Table III.
 *
 * @param temperature deg C, 0 to 95.
 */
export function soundSpeed(temperature: number, equation: SoundSpeedEquation = 'marczak'): number {
  return COEFFICIENTS[equation].reduceRight((sum, k) => sum * temperature + k, 0);
}
