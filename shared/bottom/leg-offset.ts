import { type Design, errorCovariance, pickBlocks } from './design.ts';
import { letLegGo } from './outliers.ts';
import { fitProcess, isotropic, likelihoodOf, makeFitRoom } from './process.ts';
import {
  type Found,
  type SearchEffort,
  searchedRows,
  searchScale,
  searchVariation,
} from './variation-search.ts';

/** Standard deviation of leg biases under which legs may stand off, m: another water level, a wrong draft. */
const WIDE_BIAS = 0.3;
/**
 * Log likelihood that wide biases must gain to be believed, and the distance between passes, m, beyond which it grows
 * with the distance: a face between two passes looks like a leg that stands off, the more so the further they are apart.
 */
const WIDE_COST = 4;
const WIDE_SPACING = 14;
/** Distance between passes beyond which the two are not to be told apart, m. */
const MOST_SPACING = 35;
/** Standard deviations of its usual bias by which a leg stands off. */
const LEG_LIMIT = 3;
/** More legs than this share of the blocks are cells, not legs. */
const MOST_LEGS = 0.5;

/**
 * The design with the leg let go that stands furthest off, where legs that may stand off explain the depths better.
 *
 * A search that takes all legs to be true explains one that is not by a bottom that varies over less than the distance
 * between passes, and then no leg stands off from the surface. So the search is done again with wide biases, where one
 * or two looks show that it may pay.
 *
 * @param found What the search found with usual biases. @returns undefined when no leg stands off.
 */
export function letOffLegGo(
  design: Design,
  passSpacing: number,
  effort: SearchEffort,
  found: Found,
): Design | undefined {
  if (passSpacing > MOST_SPACING || design.legs < 2 || design.legs > MOST_LEGS * design.count)
    return undefined;
  const wide = { ...design, bias: design.bias.map((b) => b + WIDE_BIAS ** 2) };
  if (!mayPay(wide, passSpacing, effort, found)) return undefined;
  const other = searchVariation(wide, passSpacing, { ...effort, kernels: [found.variation.kernel] });
  const cost = WIDE_COST * Math.max(1, passSpacing / WIDE_SPACING);
  if (other === undefined || other.score <= found.score + cost) return undefined;
  const fit = fitProcess(wide, wide.count, other.variation);
  if (fit === undefined) return undefined;
  const sums = new Float64Array(design.legs);
  for (let i = 0; i < fit.n; i++) sums[design.leg[i]] += fit.alpha[i];
  // The expected error of a leg is its bias variance times its sum.
  const errors = sums.map((sum, p) => Math.abs(sum) * wide.bias[p]);
  const furthest = errors.indexOf(errors.reduce((a, b) => Math.max(a, b)));
  if (errors[furthest] <= LEG_LIMIT * Math.sqrt(design.bias[furthest])) return undefined;
  return {
    ...design,
    bias: letLegGo(wide, fit, furthest).bias.map((b, p) => (p === furthest ? b : design.bias[p])),
  };
}

/** True when wide biases are as likely already with what was found, or with a bottom that varies over a usual range. */
function mayPay(wide: Design, passSpacing: number, effort: SearchEffort, found: Found): boolean {
  const design = pickBlocks(wide, searchedRows(wide.count, effort));
  const errors = errorCovariance(design, design.count);
  const room = makeFitRoom(design.count);
  const usual = isotropic(effort.kernels[0], searchScale(passSpacing), found.spread);
  return [found.variation, usual].some(
    (variation) =>
      (likelihoodOf(design, design.count, variation, errors, room) ?? Number.NEGATIVE_INFINITY) > found.score,
  );
}
