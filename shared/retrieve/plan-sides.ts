import type { CastKind, CastPlan, DepthRange, EarlierCast, EarlierCasts } from '../contract/index.ts';
import { buildPlan, deeperLure } from './build-plan.ts';
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
import { type Choice, chooseCast } from './choose-cast.ts';
import { TURNED } from './earlier-cast.ts';
import { type Candidate, candidateBetween, findCandidates } from './search.ts';
import { type NoCast, whyNoCast } from './side.ts';
import { isOrderTied, isWorthWriting, rankCasts } from './spot-score.ts';

/** The two casts of a mark, each a plan or the reason why there is none. */
export interface Sides {
  readonly downslope: CastPlan | NoCast;
  readonly upslope: CastPlan | NoCast;
  /** Sounded depths within a cast, m; present only on ground too level for a deep and a shallow side. */
  readonly level?: DepthRange;
}

export const isPlan = (side: CastPlan | NoCast): side is CastPlan => !('missing' in side);

/**
 * Plans the two casts of a mark by the ground around the fish:
 *
 * - deeper on one side, shallower on another (slope, ledge, point, turn, channel): deep and shallow side;
 * - deeper all around or on two sides (hump, ridge, saddle): deep side and the opposite deep side;
 * - shallower all around (hole, ditch): the shallow side alone;
 * - level (flat), or fish off the bottom: the best side at any depth, and the opposite side.
 *
 * `rankCasts` decides which cast is first.
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
  // The boat may sit over a stated depth of the fish only if neither side has sounded water for the boat.
  const isForAnyDepth = (missing: NoCast['missing']): boolean =>
    missing === 'boat' || (missing === 'line' && fish.stated === undefined);
  if (!isForAnyDepth(downslope.missing) || !isForAnyDepth(upslope.missing)) return { downslope, upslope };
  const level = bothWays(planner, anyDepth, 'flat', earlier);
  return isPlan(level.downslope) ? { ...level, level: downslope.depths } : { downslope, upslope };
}

/**
 * If two casts on different bearings tie, gives the first cast the bearing of the second as `equalBearing`,
 * unless the first cast has one already.
 */
function withTie(downslope: CastPlan, upslope: CastPlan): Sides {
  const isTurned = turnBetween(downslope.bearing, upslope.bearing) > TURNED;
  if (!isTurned || !isOrderTied(downslope, upslope)) return { downslope, upslope };
  const [first] = rankCasts({ downslope, upslope });
  return first === upslope
    ? { downslope, upslope: { equalBearing: downslope.bearing, ...upslope } }
    : { downslope: { equalBearing: upslope.bearing, ...downslope }, upslope };
}

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

/** Factor by which a cast under a later rule must beat the best cast under earlier rules; judgment. */
const LESSER_RULE = 1.5;
/** Maximum length among the fish, m, for later rules to be tried: 1.5 times as much is unlikely. */
const PLENTY = 12;

/** Plans the best cast under a list of rules, best rule first, or returns why there is none. */
function planCast(
  planner: CastPlanner,
  rules: readonly CastRule[],
  kind: CastKind,
  earlier?: EarlierCast,
): CastPlan | NoCast {
  const { uphill, preferences } = planner;
  const toward = kind === 'upslope' ? ([-uphill[0], -uphill[1]] as const) : uphill;
  const chooser = { ...planner, preferences: { ...preferences, toward } };
  let chosen: Choice | undefined;
  for (const rule of rules) {
    const one = chooseCast(chooser, rule, earlierCandidate(planner, rule, earlier));
    if (one !== undefined && one.value > LESSER_RULE * (chosen?.value ?? 0)) chosen = one;
    if (chosen !== undefined && chosen.among > PLENTY) break;
  }
  if (chosen === undefined) return whyNone(planner, rules[rules.length - 1]);
  const plan = buildPlan(planner, chosen, kind);
  if (!isWorthWriting(plan)) return { missing: 'contact', plan, rule: rules[rules.length - 1] };
  return { ...plan, ...deeperLure(planner, chosen) };
}

function earlierCandidate(
  { space, frame }: CastPlanner,
  rule: CastRule,
  earlier: EarlierCast | undefined,
): Candidate | undefined {
  if (earlier === undefined) return undefined;
  const [boat, landing] = [earlier.boat, earlier.landing].map(({ lat, lon }) => {
    const [east, north] = frame.toLocal(lat, lon);
    return { east, north };
  });
  return candidateBetween(space, rule, boat, landing);
}

function whyNone({ space }: CastPlanner, rule: CastRule): NoCast {
  const isAllClosed =
    space.isOpen !== undefined &&
    findCandidates(space, rule).length === 0 &&
    findCandidates({ ...space, isOpen: undefined }, rule).length > 0;
  const why = whyNoCast(space, rule);
  if (isAllClosed) return { ...why, missing: 'zone' };
  const isUnsure = why.missing === 'line' && findCandidates(space, { ...rule, draft: 0 }).length > 0;
  return isUnsure ? { ...why, missing: 'draft' } : why;
}
