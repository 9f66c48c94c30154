import { type DisplayUnits, fromMeters } from '../../shared/contract/index.ts';
import {
  type DayPlan,
  fallbackText,
  minutesOf,
  type PlannedStop,
  sideLetter,
} from '../../shared/day/index.ts';
import { formatClock } from '../../shared/text/index.ts';
import { formatCsv } from '../formats/table/index.ts';
import { declinationOf, legsText } from './legs.ts';

/**
 * Writes the plan as CSV, one row per stop. The name of a column of lengths or durations ends with its unit.
 *
 * @param isGuarded True to put an apostrophe before texts that a spreadsheet would take for formulas.
 */
export function formatPlanCsv(plan: DayPlan, units: DisplayUnits, isGuarded: boolean): string {
  const declination = declinationOf(plan);
  const columns = columnsIn(units, declination);
  const rows = plan.stops.map((stop, at) => columns.map(([, textOf]) => textOf(stop, at + 1)));
  return formatCsv([columns.map(([name]) => name), ...rows], '\r\n', isGuarded);
}

function columnsIn(
  units: DisplayUnits,
  declination: number | undefined,
): readonly (readonly [name: string, textOf: (stop: PlannedStop, number: number) => string])[] {
  const value = (given: number | undefined, decimals: number): string =>
    given === undefined ? '' : given.toFixed(decimals);
  const length = (given: number | undefined, unit: 'ft' | 'yd' | 'm'): string =>
    given === undefined ? '' : fromMeters(given, unit).toFixed(1);
  const [far, long] = units === 'ft' ? (['mi', 'yd'] as const) : (['km', 'm'] as const);
  return [
    ['stop', (_, number) => String(number)],
    ['spot', ({ spot }) => spot.name],
    ['side', ({ side }) => sideLetter(side)],
    ['visit', ({ visit }) => String(visit)],
    ['arrive', ({ arrive }) => formatClock(arrive)],
    ['begin', ({ begin }) => formatClock(begin)],
    ['leave', ({ leave }) => formatClock(leave)],
    ['latest_leave', ({ latestLeave }) => formatClock(latestLeave)],
    ['rest_until', ({ restUntil }) => formatClock(restUntil)],
    ['fish_min', ({ stay }) => String(minutesOf(stay))],
    ['run_min', ({ run }) => value(run.seconds / 60, 1)],
    ['run_sd_min', ({ run }) => value(run.sd / 60, 1)],
    [`run_${far}`, ({ run }) => value(fromMeters(run.distance, far), 2)],
    ['run_over', ({ run }) => run.over],
    ['run_legs', ({ run }) => legsText(run, declination, units)],
    ['lat', ({ side }) => value(side.lat, 7)],
    ['lon', ({ side }) => value(side.lon, 7)],
    [`boat_depth_${units}`, ({ side }) => length(side.depth, units)],
    ['cast_mag_deg', ({ side }) => value(side.castMagnetic, 0)],
    [`cast_${long}`, ({ side }) => length(side.cast, long)],
    ['lure', ({ spot }) => spot.lure ?? ''],
    ['fish_chance', ({ chanceOfFish }) => value(chanceOfFish, 2)],
    ['chance', ({ chance }) => value(chance, 2)],
    ['rested', ({ stock }) => value(stock, 2)],
    ['structure', ({ spot }) => spot.structure ?? ''],
    ['marks', ({ spot }) => spot.marks.join('; ')],
    ['fallback_1', (stop) => fallbackText(stop, 0)],
    ['fallback_2', (stop) => fallbackText(stop, 1)],
    ['why', ({ why }) => why],
  ];
}
