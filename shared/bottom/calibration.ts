/**
 * Standard deviations that hold what they say, from the fit's own.
 *
 * The fit takes the bottom to vary alike everywhere; real forms do not, so its own intervals are too short, the more
 * so the further passes are apart. The 95 % bounds of the errors on simulated surveys (passes 15 to 62 m apart, all
 * structure words, quiet and rough; the shapes of `fixtures/lakes`) follow power laws of the fit's value and of the
 * spacing, found by quantile regression (`npm run fit-structure calibration`): what is given here is the bound / 1.96.
 */
const USUAL_SPACING = 30;

const DEPTH = { factor: 1.05, power: 0.8, spacingPower: 0.46 };
const SLOPE = { factor: 1.63, floor: 0.3, power: 0.85, spacingPower: 0.4 };

/** Standard deviation of a depth, m. @param sd The fit's own, m. */
export function calibrateDepth(sd: number, passSpacing: number): number {
  return DEPTH.factor * sd ** DEPTH.power * spacing(passSpacing) ** DEPTH.spacingPower;
}

/** Standard deviation of a slope, deg. @param sd The fit's own along or across the fall line, deg. */
export function calibrateSlope(sd: number, passSpacing: number): number {
  return (
    SLOPE.factor * Math.hypot(sd, SLOPE.floor) ** SLOPE.power * spacing(passSpacing) ** SLOPE.spacingPower
  );
}

/** Spacing over the usual one; a spacing beyond 100 m says no more. */
const spacing = (passSpacing: number): number => Math.min(passSpacing, 100) / USUAL_SPACING;
