/** A power law for standard deviations: factor x sd^power x (spacing / 30 m)^spacingPower. */
export interface SpreadLaw {
  readonly factor: number;
  readonly power: number;
  readonly spacingPower: number;
}

const USUAL_SPACING = 30;
/** deg; least uncertainty of any slope that enters the law. */
const SLOPE_FLOOR = 0.3;
/** deg of slope for each m of ground that is rougher than the fit can follow: it slopes where the fit is even. */
const SLOPE_OF_ROUGHNESS = 8;
/** Spacings that the laws were fitted to end here, m: closer passes do not make intervals shorter, wider ones not longer. */
const LEAST_SPACING = 15;
const MOST_SPACING = 100;

/** Distance between passes as it enters the laws, in usual ones. */
export const relativeSpacing = (passSpacing: number): number =>
  Math.max(LEAST_SPACING, Math.min(passSpacing, MOST_SPACING)) / USUAL_SPACING;

/**
 * Laws that turn the fit's standard deviations into ones that hold what they say.
 *
 * The fit takes the bottom to vary alike everywhere; real forms do not, so its own intervals are too short, the more
 * so the further passes are apart. The numbers come from `npm run fit-structure calibration 400`: quantile regression
 * of the 95 % bounds of the errors on simulated surveys (passes 15 to 65 m apart, all structure words, quiet and
 * rough, high and low); what is given is the bound / 1.96. Slope and aspect also know the roughness that the fit has found:
 * bounds are narrower on quiet ground for it and wider on rough.
 */
const LAWS = {
  depth: { factor: 1.2, power: 0.82, spacingPower: 0.46 },
  slope: { factor: 1.35, power: 0.92, spacingPower: 0.63 },
  across: { factor: 1.46, power: 0.84, spacingPower: 0.49 },
} as const satisfies Record<string, SpreadLaw>;

/** Standard deviation of a depth, m. @param sd The process's own, m. */
export const calibrateDepth = (sd: number, passSpacing: number): number => apply(LAWS.depth, sd, passSpacing);

/** Standard deviation of a slope, deg. @param sd The process's own, deg. @param rough Roughness beyond the fit, m. */
export const calibrateSlope = (sd: number, passSpacing: number, rough: number): number =>
  apply(LAWS.slope, withFloor(sd, rough), passSpacing);

/** Standard deviation of the gradient across the fall line, as an angle, deg; see `calibrateSlope`. */
export const calibrateAcross = (sd: number, passSpacing: number, rough: number): number =>
  apply(LAWS.across, withFloor(sd, rough), passSpacing);

/** What the laws of slope take, deg: the process's own value, what no fit knows, and the roughness it does not follow. */
export const withFloor = (sd: number, rough: number): number =>
  Math.hypot(sd, SLOPE_FLOOR, SLOPE_OF_ROUGHNESS * rough);

const apply = ({ factor, power, spacingPower }: SpreadLaw, sd: number, passSpacing: number): number =>
  factor * sd ** power * relativeSpacing(passSpacing) ** spacingPower;
