import type { Diagnostic, Report, Waypoint } from '../contract/index.ts';
import type { Hours } from '../geo/index.ts';
import { parseWind } from '../retrieve/index.ts';
import { nearNames, parseClock, parsePlace, parseSpeed, dayPlanMessages as says } from '../text/index.ts';
import { markNames } from './marks.ts';
import type { DayPlanOptions } from './options.ts';
import type { PlanPlace } from './plan.ts';
import { parseWeight } from './sizes.ts';

/** Times (s of the day), places, wind and run speed of a day. */
export type Day = NonNullable<ReturnType<typeof readDay>>;

/** Returns errors in times, stays, sizes and speeds in wind, and one for a missing ramp; reads no input. */
export function dayProblems(options: DayPlanOptions): Diagnostic[] {
  const problems: Diagnostic[] = [];
  const report = (diagnostic: Diagnostic): void => void problems.push(diagnostic);
  readTimes(options, report);
  readStays(options, report);
  readSizes(options, report);
  speedInWind(options, undefined, report);
  if (options.ramp === undefined) report(says['place ramp'](undefined));
  return problems.filter(({ severity }) => severity === 'error');
}

function readTimes(options: DayPlanOptions, report: Report) {
  const refuse = (diagnostic: Diagnostic): undefined => void report(diagnostic);
  const leave = parseClock(options.start) ?? 0;
  const checkIn = parseClock(options.checkIn) ?? 0;
  if (checkIn <= leave) return refuse(says.hours(undefined, options.start, options.checkIn));
  const { now, at } = options;
  if (now !== undefined && at === undefined) return refuse(says['now-at'](undefined));
  const start = now === undefined ? leave : (parseClock(now) ?? leave);
  if (start < leave || start >= checkIn)
    return refuse(says.now(undefined, now ?? '', options.start, options.checkIn));
  return { start, checkIn };
}

/**
 * Reads times, places, wind and run speed of the day.
 *
 * @param marks Marks of the lake, which options may name as places.
 * @returns undefined after a wrong time or place, or a missing ramp, was reported.
 */
export function readDay(options: DayPlanOptions, marks: readonly Waypoint[], report: Report) {
  const times = readTimes(options, report);
  if (options.ramp === undefined) report(says['place ramp'](undefined));
  if (times === undefined || options.ramp === undefined) return undefined;
  const place = (flag: string, text: string, name: string): PlanPlace | undefined =>
    placeNamed(flag, text, name, marks, report);
  const ramp = place('--ramp', options.ramp, 'ramp');
  const end = options.end === undefined ? ramp : place('--end', options.end, 'end');
  const from = options.at === undefined ? ramp : place('--at', options.at, 'here');
  if (ramp === undefined || end === undefined || from === undefined) return undefined;
  const wind = options.wind === undefined ? undefined : parseWind(options.wind);
  return {
    ...times,
    latestBack: times.checkIn - options.reserve,
    ramp,
    from,
    end,
    hours: { from: times.start, to: times.checkIn } satisfies Hours,
    speed: speedInWind(options, wind?.speed, report),
    windFrom: wind?.from,
  };
}

/**
 * Finds the place that an option gives in degrees or by the name of a mark.
 *
 * @param name Name for a place given in degrees. @returns undefined after an error was reported.
 */
export function placeNamed(
  flag: string,
  text: string,
  name: string,
  marks: readonly Pick<Waypoint, 'name' | 'lat' | 'lon'>[],
  report: Report,
): PlanPlace | undefined {
  const degrees = parsePlace(text);
  if (degrees !== undefined) return { name, ...degrees };
  const names = marks.map((one) => one.name);
  const found = markNames(names)(text);
  const mark = marks.find((one) => one.name === found);
  if (mark !== undefined) return { name: mark.name, lat: mark.lat, lon: mark.lon };
  report(says.place(undefined, flag, text, nearNames(text, names)));
  return undefined;
}

/**
 * Returns the run speed, m/s: `options.speed`, or less if `options.speedInWind` lists less for the strongest
 * listed wind that `wind` reaches.
 *
 * @param wind Wind of the day, m/s.
 */
function speedInWind(options: DayPlanOptions, wind: number | undefined, report: Report): number {
  let speed = options.speed;
  let strongest = -1;
  for (const text of options.speedInWind ?? []) {
    const [from, run, ...more] = text.split('=').map(parseSpeed);
    if (!(from >= 0 && run > 0) || more.length > 0) report(says.rough(undefined, text));
    else if (wind !== undefined && wind >= from && from > strongest) {
      strongest = from;
      speed = Math.min(options.speed, run);
    }
  }
  return speed;
}

/** Reads the allowed lengths of stops. @returns s, ascending. */
export function readStays({ stays }: DayPlanOptions, report: Report): number[] {
  if (stays.length === 0) report(says.stays(undefined, ''));
  const minutes = stays.map((text) => {
    const value = /^\d{1,3}$/.test(text) ? Number(text) : 0;
    if (value < 1 || value > 240) report(says.stays(undefined, text));
    return value;
  });
  return [...new Set(minutes)].sort((a, b) => a - b).map((value) => value * 60);
}

/** Reads the weights, kg, for the size words of a log. */
export function readSizes(
  { sizes }: Pick<DayPlanOptions, 'sizes'>,
  report: Report,
): ReadonlyMap<string, number> {
  return new Map(
    sizes.flatMap((text): [string, number][] => {
      const match = /^\s*([a-z]+)\s*=\s*(.+)$/i.exec(text);
      const weight = match === null ? undefined : parseWeight(match[2]);
      if (match !== null && weight !== undefined) return [[match[1].toLowerCase(), weight]];
      report(says.sizes(undefined, text));
      return [];
    }),
  );
}
