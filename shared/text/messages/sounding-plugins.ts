import type { Diagnostic, Severity } from '../../contract/diagnostic.ts';
import { inKilometers, inMeters } from '../../contract/lengths.ts';
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

export const farFromWaypoints = (file: string, distance: number) =>
  say(
    'warning',
    'no-overlap',
    `Unexpected soundings of ${file} ${inKilometers(distance)} from the nearest waypoint, expected the same lake: soundings and waypoints do not overlap. Check the files, and whether latitude and longitude are swapped.`,
  );

export const lagEstimated = (
  seconds: number,
  sd: number,
  meetings: number,
  isSure: boolean,
  isUsed: boolean,
) =>
  say(
    isSure && !isUsed ? 'warning' : 'note',
    'lag',
    `Positions ${seconds < 0 ? 'lead' : 'lag'} depths by ${Math.abs(seconds).toFixed(2)} s (standard deviation ${sd.toFixed(2)} s, from ${meetings} meetings of passes run in different directions). ${
      isUsed
        ? 'Positions moved accordingly.'
        : isSure
          ? 'Not corrected; pass --lag.correct to do so.'
          : 'Too little to correct.'
    }`,
  );

export const lagUnknown = (crossings: number) =>
  say(
    'note',
    'lag',
    `Position lag not estimated: found ${crossings === 0 ? 'no' : `only ${crossings}`} meetings of passes run in different directions, need more.`,
  );

export const crossAgreement = (median: number, spread: number, crossings: number) =>
  say(
    'note',
    'crossings',
    `Where passes cross, depths differ by ${meters(spread)} (95 % of ${crossings} crossings; median ${meters(median)}).`,
  );

export const crossOffset = (what: string, median: number, crossings: number, isUsed: boolean) =>
  say(
    'warning',
    'cross-offset',
    `Unexpected difference of ${meters(median)} at ${crossings} crossings of ${what} with the rest, expected none: a constant offset (water level, draft). ${
      isUsed ? 'Corrected, as asked.' : 'Check levels and draft; pass --cross-lines.correct to take it out.'
    }`,
  );

export const crossRatio = (what: string, ratio: number, unit: string, crossings: number, isMended: boolean) =>
  say(
    'warning',
    'unit-mismatch',
    `Unexpected ratio of depths of ${ratio.toFixed(2)} at ${crossings} crossings of ${what} with the rest, expected 1: unit mismatch suspected (${unit}). ${
      isMended ? 'Corrected, as asked.' : 'Not corrected; check --depth-unit and the column names.'
    }`,
  );
