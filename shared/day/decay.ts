/** Step of the table, and the largest argument that it holds. */
const STEPS = 64;
const MOST = 40;

/**
 * e^-x for x >= 0 by table and Taylor series: within 1e-11 of itself, several times as fast as `Math.exp`.
 *
 * @returns A function of x; 0 beyond 40.
 */
export function decayTable(): (x: number) => number {
  const table = Float64Array.from({ length: STEPS * MOST + 1 }, (_, at) => Math.exp(-at / STEPS));
  return (x) => {
    if (!(x < MOST)) return 0;
    const at = (x * STEPS) | 0;
    const r = x - at / STEPS;
    return table[at] * (1 - r * (1 - (r / 2) * (1 - (r / 3) * (1 - r / 4))));
  };
}
