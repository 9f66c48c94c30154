import type { CastKind, CastPlan, EarlierCast } from '../contract/index.ts';
import { buildPlan, deeperLure } from './build-plan.ts';
import type { CastPlanner } from './cast-planner.ts';
import type { CastRule } from './cast-rules.ts';
import { type Choice, chooseCast } from './choose-cast.ts';
import { type Candidate, candidateBetween, findCandidates } from './search.ts';
import { type NoCast, whyNoCast } from './side.ts';
import { isWorthWriting } from './spot-score.ts';

/** A cast under a lesser rule must be worth this many times the best one under the rules before it. */
const LESSER_RULE = 1.5;
/** With a cast among the fish for longer than this, m, lesser rules are not tried: they cannot give so much more. */
const PLENTY = 12;

/**
 * The best cast under a list of rules, best rule first, or the reason why there is none.
 *
 * A later rule wins only where it gives a cast worth `LESSER_RULE` times as much.
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
