import { inKilometers, inMeters } from '../../contract/index.ts';
import { messages } from './make.ts';

const plural = (count: number, noun: string): string => `${count} ${noun}${count === 1 ? '' : 's'}`;

const nearText = (near: readonly string[]): string =>
  near.length === 0
    ? ' No name is similar: take one from the enriched file.'
    : ` Similar names: ${near.join(', ')}.`;

/** A value of a column that cannot be read. */
const badValue = (column: string, found: string, expected: string): string =>
  `This line cannot be read: ${column} ${JSON.stringify(found)} is not ${expected}. Correct it.`;

/** Messages about the day plan. */
export const dayPlanMessages = {
  ...messages('day-plan', 'error', {
    hours: (start: string, checkIn: string) =>
      `There is no day to plan: check-in ${checkIn} is not after the start at ${start}. Give --start and --check-in as times of one day.`,
    'place-far-off': (option: string, distance: number, isSwapped: boolean) =>
      `No stop can be reached: ${option} is ${inKilometers(distance)} from your nearest mark.${isSwapped ? ' Its latitude and longitude are swapped: exchange them.' : ' Check its latitude and longitude.'}`,
    place: (option: string, found: string, near: readonly string[]) =>
      `${option} ${JSON.stringify(found)} is not a place: it is neither LAT,LON such as 35.1234,-85.4321 nor a mark of this lake.${nearText(near)}`,
    'place ramp':
      'No plan without the place where the day starts and ends. Add --ramp LAT,LON, or write ramp in the configuration.',
    mark: (flag: string, found: string, near: readonly string[]) =>
      `${flag} ${JSON.stringify(found)} names no mark of this lake.${nearText(near)}`,
    'not-before': (found: string) =>
      `--not-before ${JSON.stringify(found)} cannot be read. Write mark and time, such as "LEDGE 8=9:00".`,
    'wish-twice': (wish: string, names: readonly string[]) =>
      `Only one mark can be the ${wish} stop, and you gave ${names.join(', ')}. Keep one.`,
    'wish-conflict': (name: string, one: string, other: string) =>
      `${name} cannot be ${one} and ${other} at once. Keep one of --${one} and --${other}.`,
    sizes: (found: string) =>
      `--sizes ${JSON.stringify(found)} cannot be read. Write word and weight, such as good=3.5lb.`,
    'not-enriched': (files: readonly string[]) =>
      `No mark of ${files.join(', ')} has a cast: a plan needs boat positions. First run: downslope enrich ${files.map((file) => (/\s/.test(file) ? JSON.stringify(file) : file)).join(' ')} --soundings YOUR_LOGS`,
    'now-at': '--now needs the place where you are. Add --at with LAT,LON or the name of a mark.',
    now: (now: string, start: string, checkIn: string) =>
      `There is no day left to plan: --now ${now} is not between the start ${start} and the check-in ${checkIn}. Correct it.`,
    'no-lake': (folder: string) =>
      `Found no enriched GPX in ${folder}, so the marks of the log are not known. Say where it is: --lake NAME.enriched.gpx.`,
    'nothing-to-review': (day: string | undefined, days: readonly string[]) =>
      days.length === 0
        ? 'Found no stop at a mark of this lake, so there is nothing to review. Give the logs of this lake, with date, time, mark and fish.'
        : `Found no stop on --day ${JSON.stringify(day ?? '')}. Logged days: ${days.join(', ')}.`,
    'log-line': (found: string, expected: string) =>
      `This line cannot be read: ${JSON.stringify(found)} is not ${expected}. Correct it, or put # before it.`,
    'log-value': badValue,
    'mark-value': badValue,
    rough: (found: string) =>
      `--speed-in-wind ${JSON.stringify(found)} cannot be read. Write wind and run speed, such as 12mph=35mph.`,
    stays: (found: string) =>
      `--stays ${JSON.stringify(found)} cannot be read. Write whole minutes from 1 to 240.`,
  }),
  ...messages('day-plan', 'warning', {
    'log-utc':
      'Logged stops may be hours off: waypoints dropped on the water are in UTC, and your time zone is not known. Add it, such as --tz -05:00.',
    'no-stop': (spots: number, minutes: number) =>
      `The plan is empty: no stop at any of ${plural(spots, 'spot')} fits into ${minutes} minutes. Start earlier, or check in later.`,
    'no-stop fuel':
      'The plan is empty: every spot is farther there and back than --fuel-range. Give the range of a full tank, such as 60mi.',
    'no-spots': 'The plan is empty: there are no marks to plan for. Give the enriched waypoint file.',
    'must-left-out': (name: string, why: string) =>
      `${name} is not in the plan, though you asked for it: ${why}.`,
    'no-soundings':
      'Run times are rough and no route is drawn: without sonar logs, runs are straight lines with an allowance. Add --soundings to plan runs over known water.',
    'log-mark': (mark: string, near: readonly string[]) =>
      `${JSON.stringify(mark)} is not a mark of this lake; the stop was not used.${nearText(near)}`,
    'log-far': (name: string, nearest: string, distance: number) =>
      `This stop was not used: waypoint ${JSON.stringify(name)} is ${inMeters(distance)} from the nearest mark ${JSON.stringify(nearest)}, farther than ${inMeters(100)}. Log it with the name of its mark.`,
    'log-later': (date: string, planned: string) =>
      `This stop was not used: its date ${date} is after the day of the plan, ${planned}. Check the date.`,
    'mark-unknown': (mark: string, near: readonly string[]) =>
      `${JSON.stringify(mark)} is not a mark of this lake; the row was not used.${nearText(near)}`,
    'name-twice': (name: string, count: number) =>
      `The log and the list of marks are matched to the first ${JSON.stringify(name)}: ${count} marks have that name. Rename the others.`,
  }),
  ...messages('day-plan', 'note', {
    'date-order': (found: string, day: string, order: string) =>
      `Dates read as ${order === 'dmy' ? 'day/month/year' : 'month/day/year'} (${found} is ${day}). Wrong? Add --date-order ${order === 'dmy' ? 'mdy' : 'dmy'}.`,
    'off-known-water': (what: string, distance: number) =>
      `${what} is ${inMeters(distance)} from water that your sonar showed deep enough; that part of each run is not drawn.`,
    'unknown-water': (count: number) =>
      `${plural(count, 'run')} of the plan ${count === 1 ? 'crosses' : 'cross'} water that your sonar did not cover: the line is cut there and the time is an estimate.`,
    'log-favors': (text: string) => text,
    'log-no-spot': (mark: string, why: string) =>
      `${mark} is not a spot of the plan (${why}); the stop counts only in a review.`,
    'log-twice': (count: number) =>
      `${plural(count, 'stop')} ${count === 1 ? 'is' : 'are'} in the logs twice and ${count === 1 ? 'counts' : 'count'} once.`,
    'route-waypoints': (count: number) =>
      `${plural(count, 'run')} ${count === 1 ? 'has' : 'have'} gaps in the GPX: no line is drawn over water that your sonar did not cover.`,
  }),
};
