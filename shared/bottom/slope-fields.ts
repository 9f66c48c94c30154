import { type Calibration, calibrateAcross, calibrateSlope } from './calibration.ts';
import type { BottomModel, BottomStatus } from './model.ts';
import type { Posterior } from './predict.ts';

export type SlopeFields = Pick<
  BottomModel,
  'gradient' | 'gradientCovariance' | 'slope' | 'slopeSd' | 'aspect' | 'aspectSd'
>;

const DEGREES = 180 / Math.PI;
/** Slope under which a bottom has no direction worth naming, deg. */
const LEAST_SLOPE = 1;
/** Share of the variance along the gradient that counts as smoothed-over steepness; measured on simulated surveys. */
const ALONG_SHARE = 0.3;
/** Standard deviations across its direction that the gradient must exceed to have one: known to some 35 degrees. */
const SURE_DIRECTION = 1.5;

/**
 * Slope and aspect with standard deviations, from the gradient and its covariance.
 *
 * The length of an uncertain gradient is greater than that of its mean: to first order by the variance across it
 * (Rice distribution). Part of the variance along it is added too, for the smoothing of breaks that the fit cannot see.
 * Never more than the mean's own square: beyond, first order does not hold, and a fit that takes its variance from steep
 * ground nearby would make even ground steep.
 * Nothing for `one-pass` and `no-data`; no aspect on ground too level to have one.
 *
 * @param rough Standard deviation of what is rougher than the fit can follow, m.
 */
export function slopeFields(
  posterior: Posterior,
  status: BottomStatus,
  passSpacing: number,
  calibration: Calibration,
  rough: number,
): SlopeFields {
  if (status === 'one-pass' || status === 'no-data') return {};
  const [, east, north] = posterior.mean;
  const c = posterior.covariance;
  const [ee, en, nn] = [c[4], c[5], c[8]];
  const { level, along, across } = partsOf(posterior);
  const hidden = Math.min(across * across + ALONG_SHARE * along * along, level * level);
  const rise = Math.sqrt(level * level + hidden);
  const slope = Math.atan(rise) * DEGREES;
  const own = uncalibrated(posterior);
  const slopeSd = calibrateSlope(own.along, passSpacing, calibration, rough);
  const acrossAngle = calibrateAcross(own.across, passSpacing, calibration, rough);
  const acrossSd = Math.tan(acrossAngle / DEGREES);
  const k = across > 0 ? (acrossSd / across) ** 2 : 1;
  const fields = {
    gradient: [east, north] as const,
    gradientCovariance: [k * ee, k * en, k * nn] as const,
    slope,
    slopeSd,
  };
  if (slope < LEAST_SLOPE || level < SURE_DIRECTION * acrossSd) return fields;
  const aspect = (Math.atan2(east, north) * DEGREES + 360) % 360;
  return { ...fields, aspect, aspectSd: angularSd(acrossSd / level) };
}

/**
 * Standard deviation of a direction, deg, from that of the gradient across it over the gradient's length.
 *
 * Where the length itself is uncertain the direction can be off by far more than the arc tangent says: the square term
 * is what simulated surveys show.
 */
const angularSd = (ratio: number): number => Math.min(90, ratio * (1 + (ratio * ratio) / 2) * DEGREES);

/** Standard deviations of the gradient by the fit's own account, along the fall line as slope and across it, deg. */
export function uncalibrated(posterior: Posterior): { along: number; across: number } {
  const { level, along, across } = partsOf(posterior);
  return {
    along: (along * DEGREES) / (1 + level * level + across * across),
    across: Math.atan(across) * DEGREES,
  };
}

/** Length of the mean gradient, and standard deviations along and across it, m/m. */
function partsOf(posterior: Posterior): { level: number; along: number; across: number } {
  const [, east, north] = posterior.mean;
  const c = posterior.covariance;
  const [ee, en, nn] = [c[4], c[5], c[8]];
  const level = Math.hypot(east, north);
  const e = level > 0 ? east / level : 0;
  const n = level > 0 ? north / level : 1;
  return {
    level,
    along: Math.sqrt(Math.max(0, e * e * ee + 2 * e * n * en + n * n * nn)),
    across: Math.sqrt(Math.max(0, n * n * ee - 2 * e * n * en + e * e * nn)),
  };
}
