/** A power law for standard deviations: factor x sd^power x (spacing / 30 m)^spacingPower. */
export interface SpreadLaw {
  readonly factor: number;
  readonly power: number;
  readonly spacingPower: number;
}

/** Laws of depth (m), slope and gradient across the fall line (deg). */
export interface Calibration {
  readonly depth: SpreadLaw;
  readonly slope: SpreadLaw;
  readonly across: SpreadLaw;
}

export const USUAL_SPACING = 30;
/** deg; least uncertainty of any slope that enters the law. */
export const SLOPE_FLOOR = 0.3;
/** Spacings that the laws were fitted to end here, m: closer passes do not make intervals shorter, wider ones not longer. */
const LEAST_SPACING = 15;
const MOST_SPACING = 100;

/**
 * Laws that turn the fit's standard deviations into ones that hold what they say.
 *
 * The fit takes the bottom to vary alike everywhere; real forms do not, so its own intervals are too short, the more
 * so the further passes are apart. The numbers come from `npm run fit-structure calibration 250`: quantile regression
 * of the 95 % bounds of the errors on simulated surveys (passes 15 to 65 m apart, all structure words, quiet and
 * rough, high and low); what is given is the bound / 1.96, for depth and slope less 5 %, because at the usual 25 to 40 m
 * on quiet bottoms the bounds of that mixture hold 97 to 99 %.
 */
export const FULL_FIT: Calibration = {
  depth: { factor: 1.16, power: 0.8, spacingPower: 0.43 },
  slope: { factor: 1.93, power: 0.78, spacingPower: 0.52 },
  across: { factor: 1.93, power: 0.72, spacingPower: 0.62 },
};

/** The same for the light fit. */
export const LIGHT_FIT: Calibration = {
  depth: { factor: 1.42, power: 0.82, spacingPower: 0.59 },
  slope: { factor: 2.76, power: 0.9, spacingPower: 0.66 },
  across: { factor: 2.16, power: 0.7, spacingPower: 0.44 },
};

/** Standard deviation of a depth, m. @param sd The fit's own, m. */
export const calibrateDepth = (sd: number, passSpacing: number, { depth }: Calibration): number =>
  apply(depth, sd, spacingFactor(depth, passSpacing));

/** The same for many depths. */
export function calibrateDepths(sd: Float64Array, passSpacing: number, { depth }: Calibration): Float64Array {
  const spacing = spacingFactor(depth, passSpacing);
  return sd.map((own) => apply(depth, own, spacing));
}

/** Standard deviation of a slope, deg. @param sd The fit's own, deg. */
export const calibrateSlope = (sd: number, passSpacing: number, { slope }: Calibration): number =>
  apply(slope, Math.hypot(sd, SLOPE_FLOOR), spacingFactor(slope, passSpacing));

/** Standard deviation of the gradient across the fall line, as an angle, deg. @param sd The fit's own, deg. */
export const calibrateAcross = (sd: number, passSpacing: number, { across }: Calibration): number =>
  apply(across, Math.hypot(sd, SLOPE_FLOOR), spacingFactor(across, passSpacing));

const apply = ({ factor, power }: SpreadLaw, sd: number, spacing: number): number =>
  factor * sd ** power * spacing;

const spacingFactor = ({ spacingPower }: SpreadLaw, passSpacing: number): number =>
  (Math.max(LEAST_SPACING, Math.min(passSpacing, MOST_SPACING)) / USUAL_SPACING) ** spacingPower;
