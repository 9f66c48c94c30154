import { type Diagnostic, inMeters } from '../../contract/index.ts';
import { error, note, warning } from './make.ts';
import { quote } from './quote.ts';

/** Messages of the plugins that clean and reduce soundings. Numbers of rows are for the whole log. */

/** Depths and offsets, to the centimeter. */
const meters = (value: number): string => inMeters(value, 2);
/** To a tenth of a day where that matters. */
const inDays = (days: number): string => `${Number(days.toFixed(days < 10 ? 1 : 0))} days`;

export const positionJump = (line: number, distance: number, rows: number) =>
  warning(
    'soundings/position-jump',
    `Rows dropped: positions jump ${inMeters(distance)} away and back, which no boat does.`,
    { place: { line }, count: rows, values: { distance }, rank: -distance },
  );

export const staleFix = (line: number, rows: number) =>
  warning(
    'soundings/stale-fix',
    'Rows dropped: the position stays the same while the boat moves, so the place of these soundings is unknown.',
    { place: { line }, count: rows },
  );

export const spikesDropped = (line: number, rows: number) =>
  warning(
    'soundings/spike',
    'Rows dropped: their depths stand out from the soundings beside them. Shallow ones still count as the shallowest depth there.',
    { place: { line }, count: rows },
  );

export const doubleEchoDropped = (line: number, rows: number) =>
  warning('soundings/double-echo', 'Rows dropped: a run at twice the depth around it is a second echo.', {
    place: { line },
    count: rows,
  });

export const shallowEchoDropped = (line: number, rows: number, least: number) =>
  warning(
    'soundings/shallow-echo',
    `Rows dropped: a run at a half or third of the depth around it (down to ${meters(least)}) is fish, weed or part of an echo. If it is a shoal, it still counts as the shallowest depth there.`,
    { place: { line }, count: rows, values: { least }, rank: least },
  );

export const frozenDropped = (line: number, rows: number, distance: number) =>
  warning(
    'soundings/frozen-depth',
    `Rows dropped: the depth stayed the same over ${inMeters(distance)}, so the sonar had lost bottom.`,
    { place: { line }, count: rows, values: { distance }, rank: -distance },
  );

export const heldDropped = (line: number, depth: number, rows: number, runs: number) =>
  warning(
    'soundings/held-depth',
    `Rows dropped: ${meters(depth)} came back ${runs} times for about ${Math.max(1, Math.round(rows / runs))} rows each, so the sonar had lost bottom.`,
    { place: { line }, count: rows, values: { depth, runs }, rank: -rows },
  );

export const shallowestSeen = (line: number, depth: number) =>
  note(
    'soundings/shallowest',
    `The shallowest depth among the rows dropped is ${meters(depth)}. It still counts as the shallowest depth where it was seen.`,
    { place: { line }, values: { depth }, rank: depth },
  );

export const depthOffsetUsed = (offset: number, what: string) =>
  note(
    'soundings/depth-offset',
    `${offset < 0 ? 'Subtracted' : 'Added'} ${meters(Math.abs(offset))} ${offset < 0 ? 'from' : 'to'} every depth: ${what}.`,
    { values: { offset } },
  );

export const depthReferenceUnknown = () =>
  note(
    'soundings/depth-reference',
    'Depths are taken to be from the water surface, since the log does not say. If they are from the transducer, add --transducer-draft.',
  );

export const depthBelowTransducer = (): Diagnostic =>
  warning(
    'soundings/depth-below-transducer',
    'Depths are too shallow by the depth of the transducer, from which this log measures them. Pass that depth with --transducer-draft.',
    { repair: { setting: 'transducer-draft' } },
  );

export const depthBelowKeel = (): Diagnostic =>
  warning(
    'soundings/depth-below-keel',
    'Depths are too shallow by the draft of the boat: this log measures them from the keel. Pass the draft of the keel with --depth-offset.',
    { repair: { setting: 'depth-offset' } },
  );

/** @param from Level from which the log measures depths. */
export const draftNotAdded = (from: string) =>
  note(
    'soundings/draft-not-added',
    `--transducer-draft is not added: this log measures depths from the ${from}. If that is wrong, use --depth-offset.`,
  );

export const antennaOffsetUsed = (ahead: number, right: number) =>
  note(
    'soundings/antenna-offset',
    `Positions moved from antenna to transducer: ${meters(Math.abs(ahead))} ${ahead < 0 ? 'astern' : 'ahead'}, ${meters(Math.abs(right))} to the ${right < 0 ? 'left' : 'right'}.`,
    { values: { ahead, right } },
  );

export const soundSpeedUsed = (speed: number, assumed: number, from: string) =>
  note(
    'soundings/sound-speed',
    `Depths multiplied by ${(speed / assumed).toFixed(4)}: sound travels at ${speed.toFixed(1)} m/s here (${from}), and the sonar assumes ${assumed.toFixed(1)} m/s.`,
    { values: { speed, assumed } },
  );

export const temperatureOutOfRange = (rows: number) =>
  warning(
    'soundings/temperature',
    'Water temperatures outside 0 to 40 C were not used; each of these rows has the temperature before it.',
    { count: rows },
  );

export const levelUsed = (then: number, today: number) =>
  note(
    'soundings/water-level',
    `${meters(Math.abs(today - then))} ${today < then ? 'taken from' : 'added to'} depths: the water level was ${meters(then)} then and is ${meters(today)} on the day of the plan.`,
    { values: { levelThen: then, levelToday: today } },
  );

/** @param most Difference above which the level is questioned, m. */
export const levelFar = (then: number, today: number, most: number) =>
  warning(
    'soundings/level-far',
    `Every depth changes by ${meters(Math.abs(today - then))}: the water level was ${meters(then)} then and is ${meters(today)} on the day of the plan, more than ${meters(most)} apart. Give --levels for the days of the logs, above the datum of --water-level.`,
    { values: { levelThen: then, levelToday: today, most } },
  );

/** `--water-level` without readings for the days of the logs, so that its datum is unknown. */
export const levelReference = (today: number) =>
  warning(
    'soundings/level-reference',
    `Depths are right only if your logs were made at water level 0: ${meters(Math.abs(today))} ${today < 0 ? 'is taken from' : 'is added to'} all of them, as no readings say how high the water was then. Give --levels for the days of the logs, or leave --water-level out to plan at their level.`,
    { values: { levelToday: today } },
  );

/** @param factor Ratio of log depths to mark depths. @param unit Unit that would make them agree. */
export const depthUnitSuspect = (
  { agreeing, marks }: { readonly agreeing: number; readonly marks: number },
  example: { readonly name: string; readonly log: number; readonly mark: number },
  factor: number,
  unit: 'm' | 'ft' | 'fm',
) =>
  warning(
    'soundings/depth-unit-doubt',
    `Every depth here may be wrong: your logs read ${factor.toFixed(1)} times what ${agreeing} of ${marks} marks with a depth say (${quote(example.name)}: ${meters(example.log)} against ${meters(example.mark)}). Are the logs in ${UNIT_NAMES[unit]}? Then add --depth-unit ${unit}.`,
    { values: { factor, unit } },
  );

const UNIT_NAMES = { m: 'meters', ft: 'feet', fm: 'fathoms' } as const;

export const levelUnknownThen = (rows: number) =>
  warning(
    'soundings/level-unknown',
    'Depths without a date are used as if at the water level of the plan, since the level of their day is unknown.',
    { count: rows },
  );

export const levelOutside = (rows: number, days: number) =>
  warning(
    'soundings/level-outside',
    `Depths may be off: soundings are up to ${inDays(days)} from the nearest level reading, which was used for them. Add a reading of their day to --levels.`,
    { count: rows, values: { days } },
  );

export const levelTodayOutside = (days: number) =>
  warning(
    'soundings/level-today',
    `Depths may be off: the day of the plan is ${inDays(days)} from the nearest level reading, which was used for it. Give that day's level with --water-level.`,
    { values: { days } },
  );

export const levelUnreadable = (line: number, text: string, expected: string) =>
  error(
    'soundings/levels',
    `The level readings cannot be read: ${quote(text)} is not ${expected}. Correct the line.`,
    { place: { line } },
  );

export const levelsEmpty = () =>
  error(
    'soundings/levels',
    'This file has no readings of the water level. Add rows of time and level, or leave --levels out.',
  );

export const duplicateLogs = (file: string, other: string, rows: number) =>
  warning('soundings/duplicate-log', `Used once: soundings of ${file} that are in ${other} as well.`, {
    count: rows,
  });

export const soundingsDry = (rows: number) =>
  warning(
    'soundings/dry',
    'Some soundings are above the water level of the plan. That bottom is dry on the day and does not count as water. If this looks wrong, check --water-level.',
    { count: rows },
  );
