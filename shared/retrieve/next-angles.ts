import type { CastKind, CastPlan } from './cast-plan.ts';
import {
  acrossRule,
  alongRule,
  type CastRule,
  downslopeRules,
  type Sector,
  turnBetween,
  upslopeRules,
  within,
} from './cast-rules.ts';
import { chooseCast } from './choose-cast.ts';
import { type CastPlanner, planOf } from './plan-side.ts';
import { LEAST_CONTACT } from './spot-score.ts';

/** A quartering cast is at least, and at most, this far off the first one, deg. */
const LEAST_TURN = 30;
const MOST_TURN = 105;

/** A cast along the band is within this angle of the isobath, deg. */
const ALONG = 35;

/** Two casts differ enough when their bearings do by this, deg, or their boats by this, m. */
const OTHER_BEARING = 30;
const OTHER_BOAT = 25;

/** Next angles need no last meter of contact. */
const EFFORT = { finalists: 3, refined: 0, isThorough: false };

/**
 * What to try when the first choice goes quiet, in order: quartering casts to either side of it, the better first;
 * then casts along the band and across the structure, the one that holds the lure in it longer first.
 *
 * Each differs from the first cast, from the opposite side and from those before it by 30 deg or 25 m. The opposite
 * side itself, the full turn-round, is not among them.
 */
export function planNextAngles(
  planner: CastPlanner,
  draft: number,
  first: CastPlan | undefined,
  opposite: CastPlan | undefined,
): CastPlan[] {
  const { space, aspect } = planner;
  const { fish } = space;
  const quartering: CastPlan[] = [];
  // Where the bottom allows no deep side, the shallow side is the first choice and is quartered.
  const base = first ?? opposite;
  if (base !== undefined) {
    const rules = first === undefined ? upslopeRules(fish, draft) : downslopeRules(fish, draft);
    for (const sector of [
      { from: base.bearing + LEAST_TURN, to: base.bearing + MOST_TURN },
      { from: base.bearing - MOST_TURN, to: base.bearing - LEAST_TURN },
    ])
      quartering.push(...planFirst(planner, rules, sector));
  }
  const chords = planOne(planner, acrossRule(fish, draft), 'across');
  if (aspect !== undefined) {
    const sectors = [90, 270].map((side) => ({ from: aspect + side - ALONG, to: aspect + side + ALONG }));
    chords.push(...planOne(planner, within(alongRule(fish, draft), sectors), 'along'));
  }
  const given = [first, opposite].filter((plan) => plan !== undefined);
  return distinct([...quartering.sort(byContact), ...chords.sort(byContact)], given);
}

const byContact = (a: CastPlan, b: CastPlan): number => b.fishContact - a.fishContact;

/** The best quartering cast in a sector by the first of some rules that has one. */
function planFirst(planner: CastPlanner, rules: readonly CastRule[], sector: Sector): CastPlan[] {
  for (const rule of rules) {
    const found = planOne(planner, within(rule, [sector]), 'quartering');
    if (found.length > 0) return found;
  }
  return [];
}

/** The best cast of a rule, if it holds the lure on bottom among the fish at all. */
function planOne(planner: CastPlanner, rule: CastRule, kind: CastKind): CastPlan[] {
  const { space, wave, byBearing, hazards } = planner;
  const chosen = chooseCast(space, rule, wave, { byBearing, hazards }, EFFORT);
  return chosen === undefined || chosen.fishContact < LEAST_CONTACT ? [] : [planOf(planner, chosen, kind)];
}

/** Casts that differ enough from those given and from those before them. */
function distinct(plans: readonly CastPlan[], given: readonly CastPlan[]): CastPlan[] {
  const kept: CastPlan[] = [];
  for (const plan of plans) if (![...given, ...kept].some((other) => isAlike(plan, other))) kept.push(plan);
  return kept;
}

const isAlike = (a: CastPlan, b: CastPlan): boolean =>
  turnBetween(a.bearing, b.bearing) < OTHER_BEARING &&
  Math.hypot(a.boat.east - b.boat.east, a.boat.north - b.boat.north) < OTHER_BOAT;
