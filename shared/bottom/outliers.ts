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

/**
 * The design with the bias of legs let go that lie above or below the others: another water level, a wrong draft.
 *
 * @param fit Fit whose residuals show it.
 */
export function doubtLegs(design: Design, fit: Fit): Design {
  const sums = new Float64Array(design.legs);
  for (let i = 0; i < fit.n; i++) sums[design.leg[i]] += fit.alpha[i];
  let bias: Float64Array | undefined;
  for (let p = 0; p < design.legs; p++) {
    const error = design.bias[p] * sums[p];
    if (error * error > LEG_LIMIT ** 2 * design.bias[p]) {
      bias ??= design.bias.slice();
      bias[p] = Math.max(0.25, 4 * error * error);
    }
  }
  return bias === undefined ? design : { ...design, bias };
}
