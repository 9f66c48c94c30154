/** Factors by which the fit's own standard deviations are too small. */
const DEPTH = 1.6;
const SLOPE = 1.7;
const GRADIENT = 1.7;

/** Standard deviation of a depth that holds what it says, from the fit's own, m. */
export function calibrateDepthSd(sd: number): number {
  return DEPTH * sd;
}

/** The same for all nodes of a grid. */
export function calibrateGrid(sd: Float64Array): Float64Array {
  return sd.map((v) => calibrateDepthSd(v));
}

/** Factors for the standard deviations of slope and of the gradient. */
export function calibrateSlopeSd(): { slopeScale: number; gradientScale: number } {
  return { slopeScale: SLOPE, gradientScale: GRADIENT };
}
