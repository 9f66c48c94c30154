import type { DisplayUnits } from '../contract/index.ts';
import { formatClock } from '../text/index.ts';
import type { DayPlan } from './plan.ts';
import { KG_PER_LB } from './sizes.ts';

/**
 * What a plan may bring, as a spread: `likely limit by 10:30 (9:10 to 12:45), then better ones; best five 9 to 16 lb`.
 *
 * Spreads hold the days between the worst and the best tenth.
 */
export function outlookText({ outlook, limit, checkIn }: DayPlan, units: DisplayUnits): string {
  const { fish, bag, limitChance = 0, limitBy } = outlook;
  if (limit === 0 || bag === undefined) return `${fish[0]} to ${fish[2]} fish on eight days of ten`;
  const best = `best ${limit} ${weightText(bag[0], units)} to ${weightText(bag[2], units)} on eight days of ten`;
  if (limitBy === undefined || limitChance < 0.2) return `a limit is unlikely; ${best}`;
  if (!Number.isFinite(limitBy[1])) return `the limit is in the boat: better ones now; ${best}`;
  const by = `${formatClock(limitBy[1])} (${formatClock(limitBy[0])} to ${formatClock(Math.min(checkIn, limitBy[2]))})`;
  if (limitChance < 0.7)
    return `a limit on ${Math.round(10 * limitChance)} days of ten, then by ${by}; ${best}`;
  return `likely limit by ${by}, then better ones; ${best}`;
}

/** `12.4 lb` or `5.6 kg`. */
export const weightText = (kilograms: number, units: DisplayUnits): string =>
  units === 'ft' ? `${(kilograms / KG_PER_LB).toFixed(1)} lb` : `${kilograms.toFixed(1)} kg`;
