import type { DisplayUnits } from '../contract/index.ts';
import { formatClock } from '../text/index.ts';
import type { DayPlan } from './plan.ts';
import { KG_PER_LB } from './sizes.ts';

/** What a plan may bring, and the basis of that estimate, as text. */
export function outlookText(plan: DayPlan, units: DisplayUnits): string {
  const from =
    plan.logged === 0
      ? 'If your confidence in the spots is about right (less if most of them are dead)'
      : `From your confidence in the spots and ${plan.logged} logged ${plan.logged === 1 ? 'stop' : 'stops'}`;
  return `${from}: ${spreadText(plan, units)}`;
}

/**
 * `likely limit by 10:30 (9:10 to 12:40), then better ones; the best 5 weigh 9 to 16 lb on eight days of ten`. Each
 * spread leaves out the lowest and the highest tenth of days. `npm run accuracy day-plan` prints how often spreads hold
 * on days unlike the model.
 */
function spreadText({ outlook, limit, checkIn }: DayPlan, units: DisplayUnits): string {
  const { fish, bag, limitChance = 0, limitBy } = outlook;
  if (limit === 0 || bag === undefined) return `${fish[0]} to ${fish[2]} fish on eight days of ten`;
  const best = `the best ${limit} weigh ${weightsText(bag[0], bag[2], units)} on eight days of ten`;
  if (limitBy === undefined || limitChance < 0.2) return `a limit is unlikely; ${best}`;
  if (!Number.isFinite(limitBy[1])) return `the limit is in the boat: better ones now; ${best}`;
  const [low, middle, high] = limitBy.map((time) =>
    formatClock(Math.min(checkIn, STEP * Math.round(time / STEP))),
  );
  const by = `${middle} (${low} to ${high})`;
  if (limitChance < 0.7)
    return `a limit on ${Math.round(10 * limitChance)} days of ten, usually by ${by}; ${best}`;
  return `likely limit by ${by}, then better ones; ${best}`;
}

/** Rounding of times, s; the time of a fish is not known more closely. */
const STEP = 600;

/** `12 to 23 lb` or `5.6 to 10.4 kg`. */
const weightsText = (low: number, high: number, units: DisplayUnits): string =>
  units === 'ft'
    ? `${Math.round(low / KG_PER_LB)} to ${Math.round(high / KG_PER_LB)} lb`
    : `${low.toFixed(1)} to ${high.toFixed(1)} kg`;
