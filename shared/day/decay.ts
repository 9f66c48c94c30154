const STEPS = 64;
const MOST = 40;

/**
 * Returns a function for e^-x by table and Taylor series, more than twice as fast as `Math.exp` in Node 20.
 *
 * The function gives the same bits in every engine; ECMA-262 does not require this of `Math.exp`. Equal bits
 * matter when the values of two plans differ in nothing but the last bits, because a phone must find the same
 * plan as the command line.
 *
 * @returns The function: e^-x for x >= 0, with an error below 1e-11; 0 for x >= 40.
 */
export function decayTable(): (x: number) => number {
  const step = seriesOf(1 / STEPS);
  const table = new Float64Array(STEPS * MOST + 1).fill(1);
  for (let at = 1; at < table.length; at++) table[at] = table[at - 1] * step;
  return (x) => {
    if (!(x < MOST)) return 0;
    const at = (x * STEPS) | 0;
    const r = x - at / STEPS;
    return table[at] * (1 - r * (1 - (r / 2) * (1 - (r / 3) * (1 - r / 4))));
  };
}

/** Returns e^-x by the Taylor series; exact to rounding for small x. */
function seriesOf(x: number): number {
  let [sum, term] = [1, 1];
  for (let n = 1; n <= 12; n++) {
    term *= -x / n;
    sum += term;
  }
  return sum;
}

/** Rounds a finite number to a multiple of 2^-30, because engines may differ in the last bits. */
export const steady = (value: number): number =>
  Number.isFinite(value) ? Math.round(value * STEADY) / STEADY : value;

const STEADY = 2 ** 30;
