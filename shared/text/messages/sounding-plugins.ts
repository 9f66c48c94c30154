import { inMeters } from '../../contract/index.ts';
import { messages, quote } from './make.ts';

/** Depths and offsets, to the centimeter. */
const meters = (value: number): string => inMeters(value, 2);
/** A number of days, to a tenth of a day below 10. */
const inDays = (days: number): string => {
  const shown = Number(days.toFixed(days < 10 ? 1 : 0));
  return `${shown} ${shown === 1 ? 'day' : 'days'}`;
};

const UNIT_NAMES = { m: 'meters', ft: 'feet', fm: 'fathoms' } as const;

/** Messages of the plugins that clean and reduce soundings. Numbers of rows are for the whole log. */
export const soundingPluginMessages = {
  ...messages('soundings', 'warning', {
    'position-jump': (distance: number, rows: number) => [
      `Rows dropped: positions jump ${inMeters(distance)} away and back, which no boat does.`,
      { count: rows, values: { distance }, rank: -distance },
    ],
    'stale-fix': (rows: number) => [
      'Rows dropped: the position stays the same while the boat moves, so the place of these depths is unknown.',
      { count: rows },
    ],
    spike: (rows: number) => [
      'Rows dropped: their depths stand out from the depths beside them. Shallow ones still count as the shallowest depth there.',
      { count: rows },
    ],
    'double-echo': (rows: number) => [
      'Rows dropped: a run at twice the depth around it is a second echo.',
      { count: rows },
    ],
    'shallow-echo': (rows: number, least: number) => [
      `Rows dropped: a run at a half or third of the depth around it (down to ${meters(least)}) is fish, weed or part of an echo. If it is a shoal, it still counts as the shallowest depth there.`,
      { count: rows, values: { least }, rank: least },
    ],
    'frozen-depth': (rows: number, distance: number) => [
      `Rows dropped: the depth stayed the same over ${inMeters(distance)}, so the sonar had lost bottom.`,
      { count: rows, values: { distance }, rank: -distance },
    ],
    'held-depth': (depth: number, rows: number, runs: number) => [
      `Rows dropped: ${meters(depth)} came back ${runs} times for about ${Math.max(1, Math.round(rows / runs))} rows each, so the sonar had lost bottom.`,
      { count: rows, values: { depth, runs }, rank: -rows },
    ],
    'depth-below-transducer': [
      'Depths are too shallow by the depth of the transducer, from which this log measures them. Pass that depth with --transducer-draft.',
      { repair: { setting: 'transducer-draft' } },
    ],
    'depth-below-keel': [
      'Depths are too shallow by the draft of the boat: this log measures them from the keel. Pass the draft of the keel with --depth-offset.',
      { repair: { setting: 'depth-offset' } },
    ],
    temperature: (rows: number) => [
      'Water temperatures outside 0 to 40 C were not used; each of these rows gets the last usable temperature before it.',
      { count: rows },
    ],
    /** @param most Difference above which the level is questioned, m. */
    'level-far': (then: number, today: number, most: number) => [
      `Every depth changes by ${meters(Math.abs(today - then))}: the water level was ${meters(then)} then and is ${meters(today)} on the day of the plan, more than ${meters(most)} apart. Give --levels for the days of the logs, above the datum of --water-level.`,
      { values: { levelThen: then, levelToday: today, most } },
    ],
    /** `--water-level` without readings for the days of the logs, so that its datum is unknown. */
    'level-reference': (today: number) => [
      `Depths are right only if your logs were made at water level 0: ${meters(Math.abs(today))} ${today < 0 ? 'is taken from' : 'is added to'} all of them, as no readings say how high the water was then. Give --levels for the days of the logs, or leave --water-level out to plan at their level.`,
      { values: { levelToday: today } },
    ],
    /** @param factor Ratio of log depths to mark depths. @param unit Unit that would make them agree. */
    'depth-unit-doubt': (
      { agreeing, marks }: { readonly agreeing: number; readonly marks: number },
      example: { readonly name: string; readonly log: number; readonly mark: number },
      factor: number,
      unit: 'm' | 'ft' | 'fm',
    ) => [
      `Every depth here may be wrong: your logs read ${factor.toFixed(1)} times what ${agreeing} of ${marks} marks with a depth say (${quote(example.name)}: ${meters(example.log)} against ${meters(example.mark)}). Are the logs in ${UNIT_NAMES[unit]}? Then add --depth-unit ${unit}.`,
      { values: { factor, unit } },
    ],
    'level-unknown': (rows: number) => [
      'Depths without a date are used as if at the water level of the plan, since the level of their day is unknown.',
      { count: rows },
    ],
    'level-outside': (rows: number, days: number) => [
      `Depths may be off: some were read up to ${inDays(days)} from the nearest level reading, which was used for them. Add a reading of their day to --levels.`,
      { count: rows, values: { days } },
    ],
    'level-today': (days: number) => [
      `Depths may be off: the day of the plan is ${inDays(days)} from the nearest level reading, which was used for it. Give that day's level with --water-level.`,
      { values: { days } },
    ],
    'duplicate-log': (file: string, other: string, rows: number) => [
      `Depths of ${file} that are also in ${other} were used only once.`,
      { count: rows },
    ],
    dry: (rows: number) => [
      'Some of the bottom in your logs is above the water level of the plan. It is dry on the day and does not count as water. If this looks wrong, check --water-level.',
      { count: rows },
    ],
  }),
  ...messages('soundings', 'note', {
    shallowest: (depth: number) => [
      `The shallowest depth among the rows dropped is ${meters(depth)}. It still counts as the shallowest depth where it was seen.`,
      { values: { depth }, rank: depth },
    ],
    'depth-offset': (offset: number, what: string) => [
      `${offset < 0 ? 'Subtracted' : 'Added'} ${meters(Math.abs(offset))} ${offset < 0 ? 'from' : 'to'} every depth: ${what}.`,
      { values: { offset } },
    ],
    'depth-reference':
      'Depths are taken to be from the water surface, since the log does not say. If they are from the transducer, add --transducer-draft.',
    /** @param from Level from which the log measures depths. */
    'draft-not-added': (from: string) =>
      `--transducer-draft is not added: this log measures depths from the ${from}. If that is wrong, use --depth-offset.`,
    'antenna-offset': (ahead: number, right: number) => [
      `Positions moved from antenna to transducer: ${meters(Math.abs(ahead))} ${ahead < 0 ? 'astern' : 'ahead'}, ${meters(Math.abs(right))} to the ${right < 0 ? 'left' : 'right'}.`,
      { values: { ahead, right } },
    ],
    'sound-speed': (speed: number, assumed: number, from: string) => [
      `Depths multiplied by ${(speed / assumed).toFixed(4)}: sound travels at ${speed.toFixed(1)} m/s here (${from}), and the sonar assumes ${assumed.toFixed(1)} m/s.`,
      { values: { speed, assumed } },
    ],
    'water-level': (then: number, today: number) => [
      `${meters(Math.abs(today - then))} ${today < then ? 'taken from' : 'added to'} depths: the water level was ${meters(then)} then and is ${meters(today)} on the day of the plan.`,
      { values: { levelThen: then, levelToday: today } },
    ],
  }),
  ...messages('soundings', 'error', {
    levels: (text: string, expected: string) =>
      `The level readings cannot be read: ${quote(text)} is not ${expected}. Correct the line.`,
    'levels empty':
      'This file has no readings of the water level. Add rows of time and level, or leave --levels out.',
  }),
};
