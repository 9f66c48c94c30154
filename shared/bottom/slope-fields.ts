import type { BottomModel, BottomStatus, Unseen } from '../contract/index.ts';
import { bearingOf } from '../geo/index.ts';
import { calibrateAcross, calibrateSlope } from './calibration.ts';
import type { Posterior } from './gaussian-process.ts';

/** Properties of the ground that the posterior at the waypoint does not contain. */
export interface Ground {
  /** Standard deviation of the roughness that the fit cannot follow, m. */
  readonly rough: number;
  /** Roughness of the ground around the waypoint, 0 to 1 (`slopeChangeRoughness`). */
  readonly bend: number;
  /** What the lake hides between passes, with the chance of a missed form at the waypoint, 0 to 1. */
  readonly form?: Unseen & { readonly chance: number };
}

export type SlopeFields = Pick<
  BottomModel,
  'gradient' | 'gradientCovariance' | 'slope' | 'slopeSd' | 'aspect' | 'aspectSd'
>;

const DEGREES = 180 / Math.PI;
/** Slope below which a bottom has no aspect, deg. */
const MIN_SLOPE = 1;
/**
 * Hidden steepness on even ground (`Ground.bend` is 0), where the fit smooths over breaks of slope. Measured
 * on simulated surveys (`npm run fit-structure calibration`) and on a real gully used as a lake bottom.
 */
const EVEN: Hidden = { alongShare: 1.5, most: 0.5 };
/** Hidden steepness on ground that is rough everywhere (`Ground.bend` is 1). */
const BENT: Hidden = { alongShare: 0.3, most: 1 };

/** Parameters of the steepness that `slopeFields` adds to the mean gradient. */
export interface Hidden {
  /** Factor on the variance along the gradient; the factor on the variance across is 1. */
  readonly alongShare: number;
  /** Maximum increase of the gradient's squared length, as a share of the squared length. */
  readonly most: number;
}
/** Distance over which a missed form rises or falls, m: short enough to fit between two passes. */
const FORM_LENGTH = 15;
/** Maximum standard deviation along and across the gradient, deg: half of the range of slopes. */
const MAX_SD = 45;
/**
 * Minimum length of a gradient that has an aspect, in standard deviations of the gradient across it. At that
 * length, the standard deviation of the aspect is 47 deg.
 */
const SURE_DIRECTION = 1.5;

/**
 * Computes slope and aspect with standard deviations, from the gradient and its covariance.
 *
 * An uncertain gradient is longer on average than the mean gradient: to first order, the square of its mean
 * length is greater by the variance across the gradient (Rice distribution). A multiple of the variance along
 * the gradient is added too, because the fit smooths over breaks of slope. The sum is limited to a share of
 * the squared length: for a greater sum, the first-order formula fails, and variance from steep ground nearby
 * would make level ground steep.
 *
 * @returns No fields for `one-pass` and `no-data`; no aspect on level ground or for an uncertain gradient.
 */
export function slopeFields(
  posterior: Posterior,
  status: BottomStatus,
  passSpacing: number,
  { rough, bend, form }: Ground,
): SlopeFields {
  if (status === 'one-pass' || status === 'no-data') return {};
  const [, east, north] = posterior.mean;
  const c = posterior.covariance;
  const [ee, en, nn] = [c[4], c[5], c[8]];
  const { level, across } = partsOf(posterior);
  const slope = slopeOf(posterior, {
    alongShare: EVEN.alongShare + bend * (BENT.alongShare - EVEN.alongShare),
    most: EVEN.most + bend * (BENT.most - EVEN.most),
  });
  const own = uncalibrated(posterior);
  const missed = form === undefined ? 0 : (Math.sqrt(form.chance) * form.size) / FORM_LENGTH;
  const withForm = (sd: number): number => Math.min(MAX_SD, Math.hypot(sd, Math.atan(missed) * DEGREES));
  const slopeSd = withForm(calibrateSlope(own.along, passSpacing, rough));
  const acrossAngle = withForm(calibrateAcross(own.across, passSpacing, rough));
  const acrossSd = Math.tan(acrossAngle / DEGREES);
  const k = across > 0 ? (acrossSd / across) ** 2 : 1;
  const fields = {
    gradient: [east, north] as const,
    gradientCovariance: [k * ee, k * en, k * nn] as const,
    slope,
    slopeSd,
  };
  if (slope < MIN_SLOPE || level < SURE_DIRECTION * acrossSd) return fields;
  return { ...fields, aspect: bearingOf(east, north), aspectSd: angularSd(acrossSd / level) };
}

/** Returns the slope of the mean gradient plus the hidden steepness, deg. */
export function slopeOf(posterior: Posterior, { alongShare, most }: Hidden): number {
  const { level, along, across } = partsOf(posterior);
  const hidden = across * across + alongShare * along * along;
  return Math.atan(Math.sqrt(level * level + Math.min(hidden, most * level * level))) * DEGREES;
}

/**
 * Returns the standard deviation of a direction, deg.
 *
 * The term with the square of the ratio allows for an uncertain length of the gradient; it matches simulated
 * surveys.
 *
 * @param ratio Standard deviation of the gradient across the direction, divided by the gradient's length.
 */
const angularSd = (ratio: number): number => Math.min(90, ratio * (1 + (ratio * ratio) / 2) * DEGREES);

/**
 * Returns the fit's own standard deviations, deg: of the slope (`along`) and of the gradient across the fall
 * line (`across`).
 */
export function uncalibrated(posterior: Posterior): { along: number; across: number } {
  const { level, along, across } = partsOf(posterior);
  return {
    along: (along * DEGREES) / (1 + level * level),
    across: Math.atan(across) * DEGREES,
  };
}

/** Returns the length of the mean gradient (`level`), and standard deviations along and across it, m/m. */
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
