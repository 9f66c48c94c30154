import {
  type FoundCovariance,
  findCovariance,
  type SearchAssumptions,
  searched,
} from './covariance-search.ts';
import { GaussianProcess, LEG_OUTLIER, outlyingBias } from './gaussian-process.ts';
import { areCells, type Observations } from './observations.ts';

/** Standard deviation of the legs' depth biases where one may be off by another water level or a wrong draft, m. */
const WIDE_BIAS = 0.3;
/**
 * Log likelihood that wide biases must gain to be believed, and the pass spacing beyond which it grows with the spacing, m:
 * a face between two passes looks like an outlying leg, the more so the farther apart they are.
 */
const WIDE_COST = 4;
const WIDE_SPACING = 14;
/** Pass spacing beyond which the two cannot be told apart, m. */
const MAX_SPACING = 35;

/**
 * The observations with the most outlying leg taken out, where legs that may be off explain the depths better.
 *
 * A search that trusts all legs explains one that is off by a bottom that varies over less than the pass spacing, and then
 * no leg stands out from the surface. So the search is repeated with wide biases, where one of two looks shows that it may
 * pay.
 *
 * @param found With the usual biases. @returns undefined where no leg is off.
 */
export function withoutOutlyingLeg(
  all: Observations,
  passSpacing: number,
  assumptions: SearchAssumptions,
  found: FoundCovariance,
): Observations | undefined {
  if (passSpacing > MAX_SPACING || all.bias.length < 2 || areCells(all)) return undefined;
  const wide = { ...all, bias: all.bias.map((bias) => bias + WIDE_BIAS ** 2) };
  const { likelihood } = searched(wide, passSpacing);
  if (![found.params, found.first].some((params) => likelihood(params) > found.score)) return undefined;
  const other = findCovariance(wide, passSpacing, assumptions);
  const cost = WIDE_COST * Math.max(1, passSpacing / WIDE_SPACING);
  if (other === undefined || other.score <= found.score + cost) return undefined;
  const errors = GaussianProcess.fit(wide, other.params)?.legErrors().map(Math.abs);
  if (errors === undefined) return undefined;
  const furthest = errors.indexOf(Math.max(...errors));
  if (errors[furthest] <= LEG_OUTLIER * Math.sqrt(all.bias[furthest])) return undefined;
  return {
    ...all,
    bias: all.bias.map((bias, leg) => (leg === furthest ? outlyingBias(errors[leg]) : bias)),
  };
}
