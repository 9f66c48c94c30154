import type { Design } from './design.ts';
import type { Fit } from './process.ts';

/** Standard deviations beyond which a block's own error is not believed to be noise. */
const BLOCK_LIMIT = 4;
/** The same for the depth bias of a leg. */
const LEG_LIMIT = 3;

/**
 * The design with the noise of blocks raised that stand off from all around them: leftover spikes, fish, weeds.
 *
 * The expected error of a block is its noise variance times its entry of the inverse covariance applied to the
 * residuals; where it exceeds four standard deviations the variance becomes its square, which takes the block out.
 *
 * @returns the fit's own design when no block stands off.
 */
export function doubtBlocks(fit: Fit): Design {
  const { design, alpha, n, variation } = fit;
  let noise: Float64Array | undefined;
  for (let i = 0; i < n; i++) {
    const variance = variation.noise * design.noise[i];
    const error = variance * alpha[i];
    if (error * error > BLOCK_LIMIT ** 2 * variance) {
      noise ??= design.noise.slice();
      noise[i] = Math.max(4 * error * error, 100 * design.noise[i]);
    }
  }
  return noise === undefined ? design : { ...design, noise };
}

/** Legs that stand off from the surface by more than their bias explains; the furthest first. */
export function legsInDoubt({ design, alpha, n }: Fit): number[] {
  const sums = new Float64Array(design.legs);
  for (let i = 0; i < n; i++) sums[design.leg[i]] += alpha[i];
  // The expected error of a leg is its bias variance times its sum, so this is the error in standard deviations.
  const stand = sums.map((sum, p) => Math.abs(sum) * Math.sqrt(design.bias[p]));
  return [...stand.keys()].filter((p) => stand[p] > LEG_LIMIT).sort((p, q) => stand[q] - stand[p] || p - q);
}

/** The design with the bias of one leg let go: another water level, a wrong draft. @param fit Fit that shows it. */
export function letLegGo(design: Design, fit: Fit, leg: number): Design {
  let sum = 0;
  for (let i = 0; i < fit.n; i++) if (fit.design.leg[i] === leg) sum += fit.alpha[i];
  const error = design.bias[leg] * sum;
  const bias = design.bias.slice();
  bias[leg] = Math.max(0.25, 4 * error * error);
  return { ...design, bias };
}
