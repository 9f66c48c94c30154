import { type Diagnostic, inMeters, type Severity } from '../../contract/index.ts';
import { quote } from './soundings.ts';

/** Messages of the plugins that clean and reduce soundings. A count of rows stands for all of a log. */

const say = (
  severity: Severity,
  code: string,
  message: string,
  count?: number,
  line?: number,
): Diagnostic => ({
  severity,
  code: `soundings/${code}`,
  message,
  ...(line === undefined ? {} : { place: { line } }),
  ...(count === undefined ? {} : { count }),
});

/** Depths and offsets, to the centimeter. */
const meters = (value: number): string => inMeters(value, 2);

export const positionJump = (line: number, distance: number, rows: number): Diagnostic => ({
  ...say(
    'warning',
    'position-jump',
    `Unexpected jump of ${inMeters(distance)} and back, expected a boat's speed. Stray fixes dropped.`,
    rows,
    line,
  ),
  rank: -distance,
});

export const staleFix = (line: number, rows: number) =>
  say(
    'warning',
    'stale-fix',
    'Unexpected position that stands still under way, expected fixes that move. Kept once; soundings at it have no place.',
    rows,
    line,
  );

export const spikesDropped = (line: number, rows: number) =>
  say(
    'warning',
    'spike',
    'Unexpected depths that stand alone among their neighbors, expected the bottom to go on. Dropped from the mean; the shallow ones are kept as shallowest depth.',
    rows,
    line,
  );

export const doubleEchoDropped = (line: number, rows: number) =>
  say(
    'warning',
    'double-echo',
    'Unexpected run at twice the depth around it, expected one bottom: a second echo. Dropped, not halved.',
    rows,
    line,
  );

export const shallowEchoDropped = (line: number, rows: number, least: number): Diagnostic => ({
  ...say(
    'warning',
    'shallow-echo',
    `Unexpected run at a half or third of the depth around it (down to ${meters(least)}), expected one bottom: fish, weed or a part echo, or a real shoal. Dropped from the mean; kept as shallowest depth.`,
    rows,
    line,
  ),
  rank: least,
});

export const frozenDropped = (line: number, rows: number, distance: number): Diagnostic => ({
  ...say(
    'warning',
    'frozen-depth',
    `Unexpected depth unchanged over ${inMeters(distance)}, expected it to vary as elsewhere in the log: lost bottom. Dropped.`,
    rows,
    line,
  ),
  rank: -distance,
});

export const heldDropped = (line: number, depth: number, rows: number, runs: number): Diagnostic => ({
  ...say(
    'warning',
    'held-depth',
    `${meters(depth)} came back ${runs} times for about ${Math.max(1, Math.round(rows / runs))} rows each: the sonar had lost bottom. Those rows were left out.`,
    rows,
    line,
  ),
  rank: -rows,
});

export const shallowestSeen = (line: number, depth: number): Diagnostic => ({
  ...say(
    'note',
    'shallowest',
    `Shallowest depth that was dropped as a spike or echo: ${meters(depth)}. It is kept as shallowest depth where it was seen.`,
    undefined,
    line,
  ),
  rank: depth,
});

export const depthOffsetUsed = (offset: number, what: string) =>
  say(
    'note',
    'depth-offset',
    `${offset < 0 ? 'Subtracted' : 'Added'} ${meters(Math.abs(offset))} ${offset < 0 ? 'from' : 'to'} every depth: ${what}.`,
  );

export const depthReferenceUnknown = () =>
  say(
    'note',
    'depth-reference',
    'Depths are taken as from the water surface: the log does not say, and no transducer draft is given. Pass --transducer-draft if they are from the transducer.',
  );

export const antennaOffsetUsed = (ahead: number, right: number) =>
  say(
    'note',
    'antenna-offset',
    `Positions moved from antenna to transducer: ${meters(Math.abs(ahead))} ${ahead < 0 ? 'astern' : 'ahead'}, ${meters(Math.abs(right))} to the ${right < 0 ? 'left' : 'right'}.`,
  );

export const soundSpeedUsed = (speed: number, assumed: number, from: string) =>
  say(
    'note',
    'sound-speed',
    `Depths times ${(speed / assumed).toFixed(4)}: sound at ${speed.toFixed(1)} m/s (${from}) against the ${assumed.toFixed(1)} m/s that the sonar takes.`,
  );

export const temperatureOutOfRange = (rows: number) =>
  say(
    'warning',
    'temperature',
    'Unexpected water temperature, expected 0 to 40 C. The value before it is used.',
    rows,
  );

export const levelUsed = (then: number, today: number) =>
  say(
    'note',
    'water-level',
    `Water level then ${meters(then)}, on the day of the plan ${meters(today)}: ${meters(Math.abs(today - then))} ${today < then ? 'taken from' : 'added to'} depths.`,
  );

/** @param most Difference from which it is doubted, m. */
export const levelFar = (then: number, today: number, most: number) =>
  say(
    'warning',
    'level-far',
    `Unexpected difference of ${meters(Math.abs(today - then))} between the water level then (${meters(then)}) and on the day of the plan (${meters(today)}), expected less than ${meters(most)}. Every depth is changed by it; pass --levels with readings of the days of the logs, above the datum of --water-level.`,
  );

export const levelUnknownThen = (rows: number) =>
  say(
    'warning',
    'level-unknown',
    'Unexpected soundings without a date, expected one: their water level is unknown. Depths used as if at the level of the plan.',
    rows,
  );

export const levelOutside = (rows: number, days: number) =>
  say(
    'warning',
    'level-outside',
    `Unexpected soundings up to ${days.toFixed(1)} days from the nearest level reading, expected readings on both sides. The nearest reading is used; add one.`,
    rows,
  );

export const levelTodayOutside = (days: number) =>
  say(
    'warning',
    'level-today',
    `Unexpected day of the plan ${days.toFixed(1)} days from the nearest level reading, expected one for it. The nearest reading is used; pass --water-level for that day.`,
  );

export const levelUnreadable = (line: number, text: string, expected: string) =>
  say(
    'error',
    'levels',
    `Unexpected ${quote(text)} in the level readings, expected ${expected}. Correct the line.`,
    undefined,
    line,
  );

export const duplicateLogs = (file: string, other: string, rows: number) =>
  say(
    'warning',
    'duplicate-log',
    `Unexpected soundings of ${file} that are in ${other} as well, expected each once. Used once.`,
    rows,
  );

export const soundingsDry = (rows: number) =>
  say(
    'warning',
    'dry',
    'Soundings lie above the water of the plan: that bottom is dry now. They count as no water; check --water-level if you doubt it.',
    rows,
  );
