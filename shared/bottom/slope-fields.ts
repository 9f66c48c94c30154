import { calibrateSlope } from './calibration.ts';
import type { BottomModel, BottomStatus } from './model.ts';
import type { Posterior } from './predict.ts';

export type SlopeFields = Pick<
  BottomModel,
  'gradient' | 'gradientCovariance' | 'slope' | 'slopeSd' | 'aspect' | 'aspectSd'
>;

const DEGREES = 180 / Math.PI;
/** Slope under which a bottom has no direction worth naming, deg. */
const LEAST_SLOPE = 1;
/** Standard deviations that the gradient must exceed across its direction to have one. */
const SURE_DIRECTION = 2;

/**
 * Slope and aspect with standard deviations, from the gradient and its covariance.
 *
 * The slope is the root mean square of what the gradient may be: its mean alone is too small where it is uncertain.
 * Nothing for `one-pass` and `no-data`; no aspect on ground too level to have one.
 */
export function slopeFields(posterior: Posterior, status: BottomStatus, passSpacing: number): SlopeFields {
  if (status === 'one-pass' || status === 'no-data') return {};
  const [, east, north] = posterior.mean;
  const c = posterior.covariance;
  const [ee, en, nn] = [c[4], c[5], c[8]];
  const level = Math.hypot(east, north);
  const rise = Math.sqrt(level * level + Math.max(0, ee + nn));
  const slope = Math.atan(rise) * DEGREES;
  const e = level > 0 ? east / level : 0;
  const n = level > 0 ? north / level : 1;
  const along = Math.sqrt(Math.max(0, e * e * ee + 2 * e * n * en + n * n * nn));
  const across = Math.sqrt(Math.max(0, n * n * ee - 2 * e * n * en + e * e * nn));
  const bend = 1 + rise * rise;
  const slopeSd = calibrateSlope((along * DEGREES) / bend, passSpacing);
  const acrossSd = Math.tan(calibrateSlope(Math.atan(across) * DEGREES, passSpacing) / DEGREES);
  const k = across > 0 ? (acrossSd / across) ** 2 : 1;
  const fields = {
    gradient: [east, north] as const,
    gradientCovariance: [k * ee, k * en, k * nn] as const,
    slope,
    slopeSd,
  };
  if (slope < LEAST_SLOPE || level < SURE_DIRECTION * acrossSd) return fields;
  const aspect = (Math.atan2(east, north) * DEGREES + 360) % 360;
  return { ...fields, aspect, aspectSd: Math.atan(acrossSd / level) * DEGREES };
}
