import { inKilometers, inMeters } from '../../contract/index.ts';
import { asTyped, messages, plural, quote } from './make.ts';

const nearText = (near: readonly string[]): string =>
  near.length === 0
    ? ' No name is similar: take a name from the file of your marks.'
    : ` Similar names: ${near.join(', ')}.`;

const badValue = (column: string, found: string, expected: string): string =>
  found === ''
    ? `This line cannot be read: the value of ${column} is missing. Add ${expected}.`
    : `This line cannot be read: ${column} ${JSON.stringify(found)} is not ${expected}. Correct the line.`;

const notAMark = (mark: string, near: readonly string[]): string =>
  mark === ''
    ? 'it names no mark. Add the name.'
    : `${JSON.stringify(mark)} is not a mark of this lake.${nearText(near)}`;

/** Writes a distance on the water: in kilometers or miles unless it is short. */
const farText = (distance: number): string => (distance < 2000 ? inMeters(distance) : inKilometers(distance));

const waysToFit = (hasReserve: boolean, isUnderWay: boolean): string => {
  if (isUnderWay) return hasReserve ? 'Check in later, or keep a shorter --reserve.' : 'Check in later.';
  return `Start earlier${hasReserve ? ', check in later or keep a shorter --reserve' : ' or check in later'}.`;
};

export const dayPlanMessages = {
  ...messages('day-plan', 'error', {
    hours: (start: string, checkIn: string) =>
      `There is no day to plan: check-in ${checkIn} is not after the start at ${start}. Give --start and --check-in as times of one day.`,
    'place-far-off': (option: string, distance: number, isSwapped: boolean) =>
      `No stop can be reached: ${option} is ${inKilometers(distance)} from your nearest mark.${isSwapped ? ' Its latitude and longitude are swapped: write them the other way round.' : ' Check its latitude and longitude.'}`,
    place: (option: string, found: string, near: readonly string[]) =>
      `${option} ${JSON.stringify(found)} is not a place: it is neither LAT,LON such as 35.1234,-85.4321 nor a mark of this lake.${nearText(near)}`,
    'place ramp':
      'There is no plan without the place where the day starts. Add --ramp with LAT,LON or the name of a mark.',
    mark: (flag: string, found: string, near: readonly string[]) =>
      `${flag} ${JSON.stringify(found)} names no mark of this lake.${nearText(near)}`,
    'not-before': (found: string) =>
      `--not-before ${JSON.stringify(found)} cannot be read. Write the mark and the time, such as "LEDGE 8=9:00".`,
    'wish-twice': (wish: string, names: readonly string[]) =>
      `Only one mark can be the ${wish} stop, but your list of marks names ${names.length}: ${names.join(', ')}. Keep one of them.`,
    'wish-conflict': (name: string, one: string, other: string) =>
      `${name} is given with both --${one} and --${other}, which contradict each other. Keep one of them.`,
    sizes: (found: string) =>
      `--sizes ${JSON.stringify(found)} cannot be read. Write a word and its weight, such as good=3.5lb.`,
    'not-enriched': (files: readonly string[]) =>
      files.length === 0
        ? 'These marks have no boat positions and casts. Enrich them with your sonar logs first.'
        : `No mark ${files.includes('-') ? 'that you gave' : `of ${files.join(', ')}`} has a boat position and a cast. Give the enriched file instead. To make it, run: downslope enrich ${files.map(asTyped).join(' ')} --soundings YOUR_LOGS`,
    'not-enriched plain': (files: readonly string[]) =>
      `The boat positions in ${files.includes('-') ? 'what you gave' : files.join(', ')} cannot be used: --plain or your unit left out the data that belongs to them. Give a file that has it. To make one, run: downslope enrich ${files.map(asTyped).join(' ')} --no-plain --soundings YOUR_LOGS`,
    'not-enriched no-marks': (files: readonly string[]) =>
      `There are no marks in ${files.includes('-') ? 'what you gave' : files.join(', ')}. Give the enriched file of this lake with --lake.`,
    'now-at': '--now needs the place where you are. Add --at with LAT,LON or the name of a mark.',
    now: (now: string, start: string, checkIn: string) =>
      `The rest of the day cannot be planned: --now ${now} is not between the start ${start} and the check-in ${checkIn}. Correct --now, --start or --check-in.`,
    'no-lake': (folder: string) =>
      `The log cannot be reviewed: there is no enriched GPX of your marks in ${folder === '.' ? 'this folder' : `the folder ${JSON.stringify(folder)}`}. Give its path with --lake NAME.enriched.gpx.`,
    'nothing-to-review': (day: string | undefined, days: readonly string[]) =>
      days.length === 0
        ? 'There is nothing to review: the logs have no stop at a mark of this lake up to today. Give a log with the time, mark and fish of each stop.'
        : `There is nothing to review: no stop was logged on ${day ?? 'that day'}. ${days.length === 1 ? 'The only logged day is' : 'Logged days are'} ${days.join(', ')}.`,
    'nothing-to-review day': (day: string) =>
      `There is nothing to review: --day ${JSON.stringify(day)} is not a date. Write it as 2024-05-01.`,
    'log-line': (found: string) =>
      `This line cannot be read: ${quote(found)}. Write time, mark and fish, then side, minutes and a note if any, such as "0715 A12 4 D 25m note", with the mark spelled as in your waypoints. Or put # before the line.`,
    'log-line none': (found: string) =>
      `This file is not a log of what you caught: its first line ${quote(found)} is neither a header with time, mark and fish, nor a stop such as "0715 A12 4". Give another file, or write your stops like that.`,
    'log-value': badValue,
    'log-value no-time': (name: string) =>
      `The log cannot be read: waypoint ${JSON.stringify(name)} has no time. Delete it from the file, and log the stop in a line such as "0715 A12 4".`,
    'mark-value': badValue,
    'mark-value no-column': (header: string) =>
      `The list of marks has no column named mark: its header is ${header}. Add the column, or correct the header.`,
    rough: (found: string) =>
      `--speed-in-wind ${JSON.stringify(found)} cannot be read. Write the wind and your run speed in it, such as 12mph=35mph.`,
    stays: (found: string) =>
      `--stays ${JSON.stringify(found)} cannot be read. Write whole minutes from 1 to 240.`,
  }),
  ...messages('day-plan', 'warning', {
    'log-utc':
      'Logged stops may be hours off: waypoints dropped on the water have times in UTC, and your time zone is not known. Add --tz, such as --tz -05:00.',
    /** @param minutes Time for stops and runs. @param reserve Minutes kept free before the check-in. */
    'no-stop': (spots: number, minutes: number, reserve: number, isUnderWay: boolean) =>
      `The plan is empty: no stop at ${spots === 1 ? 'your only spot' : `any of ${spots} spots`} fits into ${plural(minutes, 'minute')}${reserve === 0 ? '' : `, with the --reserve of ${plural(reserve, 'minute')} kept before the check-in`}. ${waysToFit(reserve > 0, isUnderWay)}`,
    /** @param range Distance that the fuel allows, m. */
    'no-stop fuel': (spots: number, range: number, isUnderWay: boolean) =>
      `The plan is empty: ${spots === 1 ? 'your only spot' : 'every spot'} is farther there and back than the --fuel-range of ${farText(range)}. Correct that distance if it is wrong; otherwise take more fuel${isUnderWay ? '' : ' or start nearer to your spots'}.`,
    'no-spots':
      'The plan is empty: none of your marks can be a stop. The list of marks left out says why for each.',
    'no-spots no-marks': 'The plan is empty: no marks were found. Give the enriched file of your marks.',
    'must-left-out': (name: string, why: string) =>
      `${name} is not in the plan, though you asked for it (${why}).`,
    'no-soundings':
      'Run times are rough and no route is drawn: without sonar logs, each run is a straight line with some time added. Add --soundings to plan runs over known water.',
    'log-mark': (mark: string, near: readonly string[]) => `This stop was not used: ${notAMark(mark, near)}`,
    'log-far': (name: string, nearest: string, distance: number) =>
      `This stop was not used: waypoint ${JSON.stringify(name)} is ${farText(distance)} from the nearest spot, ${JSON.stringify(nearest)}, too far to count there. Log the stop with the name of its mark.`,
    'log-later': (date: string, planned: string) =>
      `This stop was not used: its date ${date} is after ${planned}, the day of this run. Correct the date that is wrong.`,
    'mark-unknown': (mark: string, near: readonly string[]) =>
      `This row was not used: ${notAMark(mark, near)}`,
    'name-twice': (name: string, count: number) =>
      `What your log or list of marks says about ${JSON.stringify(name)} may count for the wrong mark: ${count} marks have that name. Give each mark a name of its own.`,
  }),
  ...messages('day-plan', 'note', {
    'date-order': (found: string, day: string, order: string) =>
      `Dates read as ${order === 'dmy' ? 'day/month/year' : 'month/day/year'} (${found} is ${day}). If that is wrong, add --date-order ${order === 'dmy' ? 'mdy' : 'dmy'}.`,
    'off-known-water': (what: string, distance: number) =>
      `The plan draws no line to the place where the day ends (${what}): the nearest water that your sonar shows to be deep enough is ${farText(distance)} away.`,
    'unknown-water': (count: number) =>
      `${plural(count, 'run')} of the plan ${count === 1 ? 'crosses' : 'cross'} water that your sonar did not cover: the line has a gap there and the time is an estimate.`,
    'log-favors': (text: string) => text,
    'log-no-spot': (mark: string, why: string) =>
      `This stop counts only in a review: ${mark} is not a spot of the plan (${why}).`,
    'log-twice': (count: number) =>
      `${plural(count, 'logged stop')} ${count === 1 ? 'was' : 'were'} left out, because the logs have ${count === 1 ? 'it' : 'them'} already.`,
    'route-waypoints': (count: number) =>
      `${plural(count, 'run')} ${count === 1 ? 'has' : 'have'} gaps in the GPX: no route is drawn over water that your sonar did not cover.`,
  }),
};
