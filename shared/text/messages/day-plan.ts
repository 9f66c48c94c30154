import { type Diagnostic, inMeters } from '../../contract/index.ts';

/** Messages about the day plan. */

const error = (code: string, message: string): Diagnostic => ({
  severity: 'error',
  code: `day-plan/${code}`,
  message,
});
const warning = (code: string, message: string): Diagnostic => ({
  ...error(code, message),
  severity: 'warning',
});
const note = (code: string, message: string): Diagnostic => ({ ...error(code, message), severity: 'note' });

const plural = (count: number, noun: string): string => `${count} ${noun}${count === 1 ? '' : 's'}`;

export const checkInBeforeStart = (start: string, checkIn: string): Diagnostic =>
  error(
    'hours',
    `Unexpected check-in ${checkIn} with a start at ${start}, expected a check-in after the start on the same day. Give --start and --check-in as times of one day.`,
  );

export const logUtc = (file: string): Diagnostic => ({
  ...warning(
    'log-utc',
    'Found waypoints dropped on the water, whose times are UTC, and no --tz; the plan takes them for times of your clock, which is wrong unless that shows UTC. Pass --tz, such as --tz -05:00.',
  ),
  place: { file },
});

export const noFeasibleStop = (spots: number, minutes: number): Diagnostic =>
  warning(
    'no-stop',
    `Found no stop that fits among ${plural(spots, 'spot')} in ${minutes} minutes; the plan is empty. Start earlier, check in later, or look at the reasons of the spots left out.`,
  );

export const noSpots = (): Diagnostic =>
  warning('no-spots', 'Found no marks to plan for; the plan is empty. Give the enriched waypoint file.');

export const placeText = (option: string, found: string): Diagnostic =>
  error(
    'place',
    `Unexpected ${option} ${JSON.stringify(found)}, expected LAT,LON in degrees such as 35.1234,-85.4321. Copy the position from a waypoint.`,
  );

export const rampMissing = (): Diagnostic =>
  error(
    'place',
    'Found no --ramp, need LAT,LON of the place where the day starts and ends. Pass --ramp, or write ramp in the configuration.',
  );

export const nowAlone = (given: string, missing: string): Diagnostic =>
  error(
    'now-at',
    `Unexpected ${given} without ${missing}, expected both to plan the rest of the day. Add ${missing}, or leave ${given} out.`,
  );

export const nowOutside = (now: string, start: string, checkIn: string): Diagnostic =>
  error(
    'now',
    `Unexpected --now ${now}, expected a time between the start ${start} and the check-in ${checkIn}. Mend the time.`,
  );

export const noKnownWater = (): Diagnostic =>
  warning(
    'no-soundings',
    'Found no soundings: run times are straight lines with an allowance, and no route is drawn. Pass --soundings to run over known water.',
  );

export const placeOffWater = (what: string, distance: number): Diagnostic =>
  note(
    'off-known-water',
    `${what} is ${inMeters(distance)} from water that the soundings show deep enough; that part of each run is not drawn.`,
  );

export const estimatedRuns = (count: number): Diagnostic =>
  note(
    'estimated-runs',
    `${plural(count, 'run')} of the plan ${count === 1 ? 'leaves' : 'leave'} known water: the time is an estimate, no line is drawn.`,
  );

const atLine = (file: string, line: number, diagnostic: Diagnostic): Diagnostic => ({
  ...diagnostic,
  place: { file, line },
});

export const logLine = (file: string, line: number, found: string, expected: string): Diagnostic =>
  atLine(
    file,
    line,
    error(
      'log-line',
      `Unexpected ${JSON.stringify(found)}, expected ${expected}. Mend the line or mark it with #.`,
    ),
  );

export const logValue = (
  file: string,
  line: number,
  column: string,
  found: string,
  expected: string,
): Diagnostic =>
  atLine(
    file,
    line,
    error(
      'log-value',
      `Unexpected ${column} ${JSON.stringify(found)}, expected ${expected}. Mend the value.`,
    ),
  );

export const logMark = (file: string, line: number, mark: string): Diagnostic =>
  atLine(
    file,
    line,
    warning(
      'log-mark',
      `Unexpected mark ${JSON.stringify(mark)}, expected the name of a mark of this lake; the stop was not used. Check the spelling.`,
    ),
  );

export const logFar = (
  file: string,
  line: number,
  name: string,
  nearest: string,
  distance: number,
): Diagnostic =>
  atLine(
    file,
    line,
    warning(
      'log-far',
      `Waypoint ${JSON.stringify(name)} is ${inMeters(distance)} from the nearest mark ${JSON.stringify(nearest)}, expected ${inMeters(100)} or less; the stop was not used. Log it with the name of its mark.`,
    ),
  );

export const logLater = (file: string, line: number, date: string, planned: string): Diagnostic =>
  atLine(
    file,
    line,
    warning(
      'log-later',
      `Unexpected date ${date}, expected ${planned} or earlier; the stop was not used. Check the date.`,
    ),
  );

export const markUnknown = (file: string, line: number, mark: string): Diagnostic =>
  atLine(
    file,
    line,
    warning(
      'mark-unknown',
      `Unexpected mark ${JSON.stringify(mark)}, expected the name of a mark of this lake; the row was not used. Check the spelling.`,
    ),
  );

export const markValue = (
  file: string,
  line: number,
  column: string,
  found: string,
  expected: string,
): Diagnostic =>
  atLine(
    file,
    line,
    error(
      'mark-value',
      `Unexpected ${column} ${JSON.stringify(found)}, expected ${expected}. Mend the value.`,
    ),
  );

export const nameTwice = (name: string, count: number): Diagnostic =>
  warning(
    'name-twice',
    `Found ${count} marks named ${JSON.stringify(name)}; the log and the list of marks mean the first. Give them names of their own.`,
  );

export const roughText = (found: string): Diagnostic =>
  error(
    'rough',
    `Unexpected ${JSON.stringify(found)}, expected wind=run speed such as 12mph=35mph. Mend --speed-in-wind.`,
  );

export const stayText = (found: string): Diagnostic =>
  error('stays', `Unexpected ${JSON.stringify(found)}, expected whole minutes from 1 to 240. Mend --stays.`);

export const pageWithoutRoutes = (count: number): Diagnostic =>
  note(
    'route-waypoints',
    `${plural(count, 'run')} went into the GPX as waypoints only: part of the way is not known water.`,
  );
