/**
 * Input of `steadyTow`. `across` is Cn d and `along` is pi d Ct, m. `weight` is the weight of the line over
 * its drag when towed broadside.
 */
export interface Tow {
  readonly lambda: number;
  readonly dragArea: number;
  readonly across: number;
  readonly along: number;
  readonly weight: number;
  readonly length: number;
}

/**
 * Integrates the force balance of a line towed through still water at constant speed, from the lure up
 * (Runge-Kutta 4).
 *
 * phi is the line's angle from horizontal, T the tension, and w = weight across. With forces in units of half
 * rho V^2: T dphi/ds = -(across sin^2 phi - w cos phi) and dT/ds = along cos^2 phi + w sin phi. After Pode
 * 1951 and Berteaux 1976.
 */
export function steadyTow({ lambda, dragArea, across, along, weight, length }: Tow): {
  depth: number;
  distance: number;
  angle: number;
} {
  const heavy = weight * across;
  const slope = ([phi, tension]: number[]): number[] => [
    -(across * Math.sin(phi) ** 2 - heavy * Math.cos(phi)) / tension,
    along * Math.cos(phi) ** 2 + heavy * Math.sin(phi),
    Math.cos(phi),
    Math.sin(phi),
  ];
  let state = [Math.atan(lambda), dragArea * Math.sqrt(1 + lambda * lambda), 0, 0];
  // Short steps at the lure, where a light lure lets the line turn within millimeters.
  let s = 0;
  let step = 1e-7;
  const plus = (a: number[], b: number[], k: number): number[] => a.map((value, i) => value + k * b[i]);
  while (s < length) {
    const h = Math.min(step, length - s);
    const k1 = slope(state);
    const k2 = slope(plus(state, k1, h / 2));
    const k3 = slope(plus(state, k2, h / 2));
    const k4 = slope(plus(state, k3, h));
    state = state.map((value, i) => value + (h / 6) * (k1[i] + 2 * k2[i] + 2 * k3[i] + k4[i]));
    s += h;
    step = Math.min(step * 1.01, 0.02);
  }
  return { angle: state[0], distance: state[2], depth: state[3] };
}
