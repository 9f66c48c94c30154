import { type Diagnostic, inKilometers, inMeters } from '../../contract/index.ts';
import { error, note, warning } from './make.ts';

/** Messages about the day plan. */

const plural = (count: number, noun: string): string => `${count} ${noun}${count === 1 ? '' : 's'}`;

export const checkInBeforeStart = (start: string, checkIn: string): Diagnostic =>
  error(
    'day-plan/hours',
    `There is no day to plan: check-in ${checkIn} is not after the start at ${start}. Give --start and --check-in as times of one day.`,
  );

export const logUtc = (file: string): Diagnostic =>
  warning(
    'day-plan/log-utc',
    'Logged stops may be hours off: waypoints dropped on the water are in UTC, and your time zone is not known. Add it, such as --tz -05:00.',
    { place: { file } },
  );

export const noFeasibleStop = (spots: number, minutes: number): Diagnostic =>
  warning(
    'day-plan/no-stop',
    `The plan is empty: no stop at any of ${plural(spots, 'spot')} fits into ${minutes} minutes. Start earlier, or check in later.`,
  );

export const fuelTooShort = (): Diagnostic =>
  warning(
    'day-plan/no-stop',
    'The plan is empty: every spot is farther there and back than --fuel-range. Give the range of a full tank, such as 60mi.',
  );

export const placeFarOff = (option: string, distance: number, isSwapped: boolean): Diagnostic =>
  error(
    'day-plan/place-far-off',
    `No stop can be reached: ${option} is ${inKilometers(distance)} from your nearest mark.${isSwapped ? ' Its latitude and longitude are swapped.' : ' Check its latitude and longitude.'}`,
  );

export const noSpots = (): Diagnostic =>
  warning(
    'day-plan/no-spots',
    'The plan is empty: there are no marks to plan for. Give the enriched waypoint file.',
  );

export const placeText = (option: string, found: string, near: readonly string[]): Diagnostic =>
  error(
    'day-plan/place',
    `${option} ${JSON.stringify(found)} is not a place: it is neither LAT,LON such as 35.1234,-85.4321 nor a mark of this lake.${nearText(near)}`,
  );

const nearText = (near: readonly string[]): string =>
  near.length === 0
    ? ' No name is similar: take one from the enriched file.'
    : ` Similar names: ${near.join(', ')}.`;

export const wishUnknown = (flag: string, found: string, near: readonly string[]): Diagnostic =>
  error('day-plan/mark', `${flag} ${JSON.stringify(found)} names no mark of this lake.${nearText(near)}`);

export const notBeforeText = (found: string): Diagnostic =>
  error(
    'day-plan/not-before',
    `--not-before ${JSON.stringify(found)} cannot be read. Write mark and time, such as "LEDGE 8=9:00".`,
  );

export const wishTwice = (wish: string, names: readonly string[]): Diagnostic =>
  error(
    'day-plan/wish-twice',
    `Only one mark can be the ${wish} stop: ${names.join(', ')} all are. Keep one.`,
  );

export const wishConflict = (name: string, one: string, other: string): Diagnostic =>
  error(
    'day-plan/wish-conflict',
    `${name} cannot be ${one} and ${other} at once. Keep one of --${one} and --${other}.`,
  );

export const sizeText = (found: string): Diagnostic =>
  error(
    'day-plan/sizes',
    `--sizes ${JSON.stringify(found)} cannot be read. Write word and weight, such as good=3.5lb.`,
  );

export const mustLeftOut = (name: string, why: string): Diagnostic =>
  warning('day-plan/must-left-out', `${name} is not in the plan, though you asked for it: ${why}.`);

export const notEnriched = (files: readonly string[]): Diagnostic =>
  error(
    'day-plan/not-enriched',
    `No mark of ${files.join(', ')} has a cast: a plan needs boat positions. First run: downslope enrich ${files.map((file) => (/\s/.test(file) ? JSON.stringify(file) : file)).join(' ')} --soundings YOUR_LOGS`,
  );

export const datesRead = (file: string, found: string, day: string, order: string): Diagnostic =>
  note(
    'day-plan/date-order',
    `Dates read as ${order === 'dmy' ? 'day/month/year' : 'month/day/year'} (${found} is ${day}). Wrong? Add --date-order ${order === 'dmy' ? 'mdy' : 'dmy'}.`,
    { place: { file } },
  );

export const rampMissing = (): Diagnostic =>
  error(
    'day-plan/place',
    'No plan without the place where the day starts and ends. Add --ramp LAT,LON, or write ramp in the configuration.',
  );

export const nowAlone = (): Diagnostic =>
  error('day-plan/now-at', '--now needs --at: say where you are, LAT,LON or the name of a mark.');

export const nowOutside = (now: string, start: string, checkIn: string): Diagnostic =>
  error(
    'day-plan/now',
    `There is no day left to plan: --now ${now} is not between the start ${start} and the check-in ${checkIn}. Correct it.`,
  );

export const noKnownWater = (): Diagnostic =>
  warning(
    'day-plan/no-soundings',
    'Run times are rough and no route is drawn: there are no soundings, so runs are straight lines with an allowance. Add --soundings to run over known water.',
  );

export const placeOffWater = (what: string, distance: number): Diagnostic =>
  note(
    'day-plan/off-known-water',
    `${what} is ${inMeters(distance)} from water that the soundings show deep enough; that part of each run is not drawn.`,
  );

export const unknownRuns = (count: number): Diagnostic =>
  note(
    'day-plan/unknown-water',
    `${plural(count, 'run')} of the plan ${count === 1 ? 'crosses' : 'cross'} water that your sonar did not cover: the line is cut there and the time is an estimate.`,
  );

export const reviewWithoutLake = (folder: string): Diagnostic =>
  error(
    'day-plan/no-lake',
    `Found no enriched GPX in ${folder}, so the marks of the log are not known. Say where it is: --lake NAME.enriched.gpx.`,
  );

export const logFavors = (text: string): Diagnostic => note('day-plan/log-favors', text);

export const nothingToReview = (day: string | undefined, days: readonly string[]): Diagnostic =>
  error(
    'day-plan/nothing-to-review',
    days.length === 0
      ? 'Found no stop at a mark of this lake, so there is nothing to review. Give the logs of this lake, with date, time, mark and fish.'
      : `Found no stop on --day ${JSON.stringify(day ?? '')}. Logged days: ${days.join(', ')}.`,
  );

export const logLine = (file: string, line: number, found: string, expected: string): Diagnostic =>
  error(
    'day-plan/log-line',
    `This line cannot be read: ${JSON.stringify(found)} is not ${expected}. Correct it, or put # before it.`,
    { place: { file, line } },
  );

/** A value of a column that cannot be read. */
const valueSays =
  (code: string) =>
  (file: string, line: number, column: string, found: string, expected: string): Diagnostic =>
    error(
      code,
      `This line cannot be read: ${column} ${JSON.stringify(found)} is not ${expected}. Correct it.`,
      { place: { file, line } },
    );

export const logValue = valueSays('day-plan/log-value');

export const logMark = (file: string, line: number, mark: string, near: readonly string[]): Diagnostic =>
  warning(
    'day-plan/log-mark',
    `${JSON.stringify(mark)} is not a mark of this lake; the stop was not used.${nearText(near)}`,
    { place: { file, line } },
  );

export const logNoSpot = (file: string, line: number, mark: string, why: string): Diagnostic =>
  note(
    'day-plan/log-no-spot',
    `${mark} is not a spot of the plan (${why}); the stop counts only in a review.`,
    { place: { file, line } },
  );

export const logTwice = (count: number): Diagnostic =>
  note(
    'day-plan/log-twice',
    `${plural(count, 'stop')} ${count === 1 ? 'is' : 'are'} in the logs twice and ${count === 1 ? 'counts' : 'count'} once.`,
  );

export const logFar = (
  file: string,
  line: number,
  name: string,
  nearest: string,
  distance: number,
): Diagnostic =>
  warning(
    'day-plan/log-far',
    `This stop was not used: waypoint ${JSON.stringify(name)} is ${inMeters(distance)} from the nearest mark ${JSON.stringify(nearest)}, farther than ${inMeters(100)}. Log it with the name of its mark.`,
    { place: { file, line } },
  );

export const logLater = (file: string, line: number, date: string, planned: string): Diagnostic =>
  warning(
    'day-plan/log-later',
    `This stop was not used: its date ${date} is after the day of the plan, ${planned}. Check the date.`,
    { place: { file, line } },
  );

export const markUnknown = (file: string, line: number, mark: string, near: readonly string[]): Diagnostic =>
  warning(
    'day-plan/mark-unknown',
    `${JSON.stringify(mark)} is not a mark of this lake; the row was not used.${nearText(near)}`,
    { place: { file, line } },
  );

export const markValue = valueSays('day-plan/mark-value');

export const nameTwice = (name: string, count: number): Diagnostic =>
  warning(
    'day-plan/name-twice',
    `The log and the list of marks are matched to the first ${JSON.stringify(name)}: ${count} marks have that name. Rename the others.`,
  );

export const roughText = (found: string): Diagnostic =>
  error(
    'day-plan/rough',
    `--speed-in-wind ${JSON.stringify(found)} cannot be read. Write wind and run speed, such as 12mph=35mph.`,
  );

export const stayText = (found: string): Diagnostic =>
  error(
    'day-plan/stays',
    `--stays ${JSON.stringify(found)} cannot be read. Write whole minutes from 1 to 240.`,
  );

export const pageWithoutRoutes = (count: number): Diagnostic =>
  note(
    'day-plan/route-waypoints',
    `${plural(count, 'run')} ${count === 1 ? 'has' : 'have'} gaps in the GPX: no line is drawn over water that your sonar did not cover.`,
  );
