import type { Design } from './design.ts';
import { matern32 } from './kernel.ts';
import type { Posterior } from './predict.ts';
import { type Fit, fitProcess } from './process.ts';
import { findVariation, type SearchEffort } from './variation-search.ts';

/** Of short blocks as many more must be seen to see as far. */
const ROUGHER_SEARCH: SearchEffort = { blocks: 90, near: 60, kernels: [matern32()] };

/**
 * Another fit to the same blocks for ground that bends everywhere: with breaks of slope, and without shape coordinate.
 *
 * The shape coordinate supposes faces between even ground, which such ground does not have. Of the two fits neither is
 * the better there, and their errors are far from alike: the mean of both is better than each.
 *
 * @param design With the bottom's gradient at every block. @returns undefined when the blocks do not determine one.
 */
export function fitRougher(design: Design, passSpacing: number): Fit | undefined {
  const plain = { ...design, shape: undefined };
  const variation = findVariation(plain, passSpacing, ROUGHER_SEARCH);
  return variation && fitProcess(plain, plain.count, variation);
}

/**
 * Mean and covariance of the gradient when it is either of two, the second with a probability; depth is the first's.
 *
 * What the two differ by counts as uncertainty. @param share Probability of the second, 0 to 1.
 */
export function mixGradients(first: Posterior, second: Posterior, share: number): Posterior {
  const [depth, ...gradient] = first.mean;
  const apart = gradient.map((g, i) => second.mean[i + 1] - g);
  const covariance = first.covariance.slice();
  for (let i = 0; i < 2; i++) {
    for (let j = 0; j < 2; j++) {
      const at = 3 * (i + 1) + j + 1;
      covariance[at] += share * (second.covariance[at] - first.covariance[at]);
      covariance[at] += share * (1 - share) * apart[i] * apart[j];
    }
  }
  return { mean: [depth, gradient[0] + share * apart[0], gradient[1] + share * apart[1]], covariance };
}
