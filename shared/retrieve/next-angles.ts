import type { CastKind, CastPlan } from '../contract/index.ts';
import { buildPlan } from './build-plan.ts';
import type { CastPlanner } from './cast-planner.ts';
import {
  acrossRule,
  alongRule,
  anyDepthRule,
  type CastRule,
  downslopeRules,
  opposite,
  type Sector,
  turnBetween,
  upslopeRules,
  within,
} from './cast-rules.ts';
import { chooseCast } from './choose-cast.ts';
import { NINE_PERTURBATIONS } from './judge.ts';
import { isWorthWriting } from './spot-score.ts';

/** Limits of the angle between a quartering cast and the first (or only) cast of the mark, deg. */
const MIN_TURN = 30;
const MAX_TURN = 105;

/** Maximum angle between the contour and a cast along the structure, deg. */
const ALONG = 35;

/** Minimum difference in bearing that makes two casts distinct, wherever their boats are, deg. */
const OTHER_BEARING = 30;
/** Minimum distance between boats that makes casts on similar bearings distinct, m. */
const OTHER_BOAT = 25;

/** A quick search, because the last meter among the fish does not matter for next angles. */
const EFFORT = {
  finalists: 1,
  rivals: 0,
  refined: 0,
  perturbations: NINE_PERTURBATIONS,
  isThorough: false,
};

/**
 * Plans what to try, in order, when the fish stop biting on the casts of a mark.
 *
 * Quartering casts to either side of `first`, or of `second` if there is no `first`, come first, by worth.
 * Then come, also by worth, casts from the opposite side (if `first` or `second` is missing), across the
 * structure and along the contour. On level ground and for suspended fish, there are no casts across or
 * along, and without an aspect none along. Each cast is distinct from `first`, `second` and the casts before
 * it.
 */
export function planNextAngles(
  planner: CastPlanner,
  first: CastPlan | undefined,
  second: CastPlan | undefined,
): CastPlan[] {
  const { space, aspect, draft } = planner;
  const { fish } = space;
  const base = first ?? second;
  if (base === undefined) return [];
  const { bearing, kind } = base;
  const from = (...sectors: readonly Sector[]): CastRule[] =>
    rulesOf(base, planner).map((rule) => within(rule, ...sectors));
  const quartering = [MIN_TURN, -MAX_TURN].flatMap((turn) => {
    const sector = { from: bearing + turn, to: bearing + turn + MAX_TURN - MIN_TURN };
    return planFirst(planner, from(sector), 'quartering');
  });
  const others: CastPlan[] = [];
  if (first === undefined || second === undefined)
    others.push(...planFirst(planner, from(opposite(bearing)), 'opposite'));
  if (kind !== 'flat') others.push(...planFirst(planner, [acrossRule(fish, draft)], 'across'));
  if (kind !== 'flat' && aspect !== undefined) {
    const sectors = [90, 270].map((side) => ({ from: aspect + side - ALONG, to: aspect + side + ALONG }));
    others.push(...planFirst(planner, [within(alongRule(fish, draft), ...sectors)], 'along'));
  }
  const given = [first, second].filter((plan) => plan !== undefined);
  return distinct([...quartering.sort(byWorth), ...others.sort(byWorth)], given);
}

function rulesOf({ kind }: CastPlan, { space: { fish }, draft }: CastPlanner): readonly CastRule[] {
  if (kind === 'flat') return [anyDepthRule(draft)];
  return kind === 'upslope' ? upslopeRules(fish, draft) : downslopeRules(fish, draft);
}

const byWorth = (a: CastPlan, b: CastPlan): number => b.worth - a.worth;

/** Plans the best cast under the first rule with a cast worth writing; empty without such a rule. */
function planFirst(planner: CastPlanner, rules: readonly CastRule[], kind: CastKind): CastPlan[] {
  const preferences = { ...planner.preferences, toward: undefined };
  for (const rule of rules) {
    const chosen = chooseCast({ ...planner, preferences }, rule, undefined, EFFORT);
    const plan = chosen && buildPlan(planner, chosen, kind);
    if (plan !== undefined && isWorthWriting(plan)) return [plan];
  }
  return [];
}

function distinct(plans: readonly CastPlan[], given: readonly CastPlan[]): CastPlan[] {
  const kept: CastPlan[] = [];
  for (const plan of plans) if (![...given, ...kept].some((other) => isAlike(plan, other))) kept.push(plan);
  return kept;
}

const isAlike = (a: CastPlan, b: CastPlan): boolean =>
  turnBetween(a.bearing, b.bearing) < OTHER_BEARING &&
  Math.hypot(a.boat.east - b.boat.east, a.boat.north - b.boat.north) < OTHER_BOAT;
