import type { CastKind, CastPlan, DepthRange, EarlierCast, EarlierCasts } from '../contract/index.ts';
import type { CastPlanner } from './cast-planner.ts';
import {
  anyDepthRule,
  type CastRule,
  downslopeRules,
  opposite,
  turnBetween,
  upslopeRules,
  within,
} from './cast-rules.ts';
import { TURNED } from './earlier-cast.ts';
import { planCast } from './plan-side.ts';
import type { NoCast } from './side.ts';
import { isOrderTied, rankCasts } from './spot-score.ts';

/** The two casts of a mark, or why one is left out. */
export interface Sides {
  readonly downslope: CastPlan | NoCast;
  readonly upslope: CastPlan | NoCast;
  /** Sounded depths within a cast, m, where the ground is level and no side is deep or shallow. */
  readonly level?: DepthRange;
}

export const isPlan = (side: CastPlan | NoCast): side is CastPlan => !('missing' in side);

/**
 * Where to sit first and second at a mark, depending on the ground around the fish:
 *
 * - deeper on one side and shallower on another (slope, ledge, point, turn, channel edge): deep side, then shallow side;
 * - deeper all around or on two sides (hump, ridge, saddle): deep side, then the opposite deep side;
 * - shallower all around (hole, ditch): the shallow side alone;
 * - neither deeper nor shallower (flat), or fish off the bottom: any side, by wind, current and the longest retrieve
 *   among them, then the opposite side.
 */
export function planSides(planner: CastPlanner, earlier: EarlierCasts = {}): Sides {
  const { space, draft } = planner;
  const { fish } = space;
  const anyDepth = [anyDepthRule(draft)];
  if (fish.suspended !== undefined) return bothWays(planner, anyDepth, 'flat', earlier);
  const downslope = planCast(planner, downslopeRules(fish, draft), 'downslope', earlier.downslope);
  const upslope = planCast(planner, upslopeRules(fish, draft), 'upslope', earlier.upslope);
  if (isPlan(upslope)) return isPlan(downslope) ? withTie(downslope, upslope) : { downslope, upslope };
  if (isPlan(downslope)) {
    const turned = planOpposite(planner, downslopeRules(fish, draft), downslope, earlier.upslope);
    return { downslope, upslope: isPlan(turned) ? turned : upslope };
  }
  // A boat does not sit among fish whose depth is stated, unless there is no other water.
  const isForAnyDepth = (missing: NoCast['missing']): boolean =>
    missing === 'boat' || (missing === 'line' && fish.stated === undefined);
  if (!isForAnyDepth(downslope.missing) || !isForAnyDepth(upslope.missing)) return { downslope, upslope };
  const level = bothWays(planner, anyDepth, 'flat', earlier);
  return isPlan(level.downslope) ? { ...level, level: downslope.depths } : { downslope, upslope };
}

/** The two sides; where either may go first, the one that does has the bearing of the other as equally good. */
function withTie(downslope: CastPlan, upslope: CastPlan): Sides {
  const isTurned = turnBetween(downslope.bearing, upslope.bearing) > TURNED;
  if (!isTurned || !isOrderTied(downslope, upslope)) return { downslope, upslope };
  const [first] = rankCasts({ downslope, upslope });
  return first === upslope
    ? { downslope, upslope: { equalBearing: downslope.bearing, ...upslope } }
    : { downslope: { equalBearing: upslope.bearing, ...downslope }, upslope };
}

/** A cast under some rules, and one from the opposite side of the fish. */
function bothWays(
  planner: CastPlanner,
  rules: readonly CastRule[],
  kind: CastKind,
  earlier: EarlierCasts,
): Sides {
  const first = planCast(planner, rules, kind, earlier.downslope);
  if (!isPlan(first)) return { downslope: first, upslope: first };
  return { downslope: first, upslope: planOpposite(planner, rules, first, earlier.upslope) };
}

function planOpposite(
  planner: CastPlanner,
  rules: readonly CastRule[],
  { bearing }: CastPlan,
  earlier: EarlierCast | undefined,
): CastPlan | NoCast {
  const turned = rules.map((rule) => within(rule, opposite(bearing)));
  return planCast(planner, turned, 'opposite', earlier);
}
