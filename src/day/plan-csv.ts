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
 * The plan as CSV, one row per stop; header names include the unit.
 *
 * @param isGuarded Put an apostrophe before texts that a spreadsheet would take for formulas.
 */
export function formatPlanCsv(plan: DayPlan, units: DisplayUnits, isGuarded: boolean): string {
  const declination = declinationOf(plan);
  const rows = plan.stops.map((stop, at) => columnsOf(stop, at + 1, units, declination));
  const header = columnNames(units);
  return formatCsv([header, ...rows], '\r\n', isGuarded);
}

const columnNames = (units: DisplayUnits): string[] => [
  'stop',
  'spot',
  'side',
  'visit',
  'arrive',
  'begin',
  'leave',
  'latest_leave',
  'rest_until',
  'fish_min',
  'run_min',
  'run_sd_min',
  `run_${units === 'ft' ? 'mi' : 'km'}`,
  'run_over',
  'run_legs',
  'lat',
  'lon',
  `boat_depth_${units}`,
  'cast_mag_deg',
  `cast_${units === 'ft' ? 'yd' : 'm'}`,
  'lure',
  'fish_chance',
  'chance',
  'rested',
  'structure',
  'marks',
  'fallback_1',
  'fallback_2',
  'why',
];

function columnsOf(
  stop: PlannedStop,
  number: number,
  units: DisplayUnits,
  declination: number | undefined,
): string[] {
  const { spot, side, run } = stop;
  const value = (given: number | undefined, decimals: number): string =>
    given === undefined ? '' : given.toFixed(decimals);
  const length = (given: number | undefined, unit: 'ft' | 'yd' | 'm'): string =>
    given === undefined ? '' : fromMeters(given, unit).toFixed(1);
  return [
    String(number),
    spot.name,
    sideLetter(side),
    String(stop.visit),
    formatClock(stop.arrive),
    formatClock(stop.begin),
    formatClock(stop.leave),
    formatClock(stop.latestLeave),
    formatClock(stop.restUntil),
    String(minutesOf(stop.stay)),
    value(run.seconds / 60, 1),
    value(run.sd / 60, 1),
    value(fromMeters(run.distance, units === 'ft' ? 'mi' : 'km'), 2),
    run.over,
    legsText(run, declination, units),
    value(side.lat, 7),
    value(side.lon, 7),
    length(side.depth, units),
    value(side.castMagnetic, 0),
    length(side.cast, units === 'ft' ? 'yd' : 'm'),
    spot.lure ?? '',
    value(stop.chanceOfFish, 2),
    value(stop.chance, 2),
    value(stop.stock, 2),
    spot.structure ?? '',
    spot.marks.join('; '),
    fallbackText(stop, 0),
    fallbackText(stop, 1),
    stop.why,
  ];
}
