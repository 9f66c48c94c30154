const USUAL_SPACING = 30;
/** Angle added in quadrature to the standard deviations along and across the slope, deg. */
const SLOPE_FLOOR = 0.3;
/** Slope uncertainty, deg, per meter of roughness: rough ground slopes even where the fit is level. */
const SLOPE_OF_ROUGHNESS = 8;
const MIN_SPACING = 15;
const MAX_SPACING = 100;

/** Limits a pass spacing, m, to the range of the laws, and divides it by `USUAL_SPACING`. */
export const relativeSpacing = (passSpacing: number): number =>
  Math.max(MIN_SPACING, Math.min(passSpacing, MAX_SPACING)) / USUAL_SPACING;

/**
 * Laws that calibrate the fit's standard deviations, so that 95 % intervals hold 95 % of the errors.
 *
 * The fit assumes that the bottom varies in the same way everywhere. Real forms do not, so the fit's own
 * intervals are too short, and more so the farther apart the passes are. The numbers come from
 * `npm run fit-structure calibration 400`: quantile regression of the 95 % bounds of the errors on simulated
 * surveys (passes 15 to 65 m apart, all structure words, quiet and rough ground, high and low forms). Each
 * law gives the bound / 1.96. Before the laws `slope` and `across` apply, `withFloor` adds the roughness that
 * the fit cannot follow, so the bounds of slope and aspect are narrower on quiet ground and wider on rough
 * ground.
 */
const LAWS = {
  depth: { factor: 1.2, power: 0.82, spacingPower: 0.46 },
  slope: { factor: 1.35, power: 0.92, spacingPower: 0.63 },
  across: { factor: 1.46, power: 0.84, spacingPower: 0.49 },
};

/** Calibrates the process's standard deviation of a depth, m. */
export const calibrateDepth = (sd: number, passSpacing: number): number => apply(LAWS.depth, sd, passSpacing);

/**
 * Calibrates the process's standard deviation of a slope, deg.
 *
 * @param rough Standard deviation of the roughness that the fit cannot follow, m.
 */
export const calibrateSlope = (sd: number, passSpacing: number, rough: number): number =>
  apply(LAWS.slope, withFloor(sd, rough), passSpacing);

/** Calibrates, like `calibrateSlope`, the standard deviation of the gradient across the fall line, deg. */
export const calibrateAcross = (sd: number, passSpacing: number, rough: number): number =>
  apply(LAWS.across, withFloor(sd, rough), passSpacing);

/** Adds `SLOPE_FLOOR` and the roughness to `sd`, deg, in quadrature. @param rough As in `calibrateSlope`. */
export const withFloor = (sd: number, rough: number): number =>
  Math.hypot(sd, SLOPE_FLOOR, SLOPE_OF_ROUGHNESS * rough);

/** Applies a power law: factor x sd^power x (spacing / 30 m)^spacingPower. */
const apply = ({ factor, power, spacingPower }: typeof LAWS.depth, sd: number, passSpacing: number): number =>
  factor * sd ** power * relativeSpacing(passSpacing) ** spacingPower;
