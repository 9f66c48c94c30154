import type { CastKind, CastPlan, EarlierCast } from '../contract/index.ts';
import { buildPlan, deeperLure } from './build-plan.ts';
import type { CastPlanner } from './cast-planner.ts';
import type { CastRule } from './cast-rules.ts';
import { type Choice, chooseCast } from './choose-cast.ts';
import { type Candidate, candidateBetween, findCandidates } from './search.ts';
import { type NoCast, whyNoCast } from './side.ts';
import { isWorthWriting } from './spot-score.ts';

/** A cast by a lesser rule has to be worth this many times one by the rule before it. */
const LESSER_RULE = 1.5;
/** Where a cast is among the fish for longer, none by a lesser rule can be worth so much more, m. */
const PLENTY = 12;

/**
 * The best cast by some rules, best rule first, or why there is none.
 *
 * A later rule counts where it gives a cast worth half as much again.
 */
export function planCast(
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
