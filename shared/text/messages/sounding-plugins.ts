import { inMeters, inMetersOrKilometers } from '../../contract/index.ts';
import { messages, quote } from './make.ts';

const meters = (value: number): string => inMeters(value, 2);
/** Difference between levels that is too small to show, m: 0.05 ft. */
const SAME_LEVEL = 0.015;
/** Range of levels during a log above which both ends are named, m. */
const VARIED = 0.1;
const inDays = (days: number): string => {
  const shown = Number(days.toFixed(days < 10 ? 1 : 0));
  return `${shown} ${shown === 1 ? 'day' : 'days'}`;
};

const rowsOf = (rows: number): string => (rows === 1 ? 'Row' : 'Rows');

const UNIT_NAMES = { m: 'meters', ft: 'feet', fm: 'fathoms' } as const;

/** Messages of the plugins that clean, correct and reduce soundings. */
const droppedFor = (rows: number): string =>
  rows === 1 ? 'Row dropped: its depth is' : 'Rows dropped: their depths are';

export const soundingPluginMessages = {
  ...messages('soundings', 'warning', {
    'position-jump': (distance: number, rows: number) => [
      rows === 1
        ? `Row dropped: its position is ${inMetersOrKilometers(distance)} off the track, too far for a boat to go between two rows.`
        : `Rows dropped: their positions are up to ${inMetersOrKilometers(distance)} off the track, too far for a boat to go between two rows.`,
      { count: rows, values: { distance }, rank: -distance },
    ],
    'stale-fix': (rows: number) => [
      `${rowsOf(rows)} dropped: the position stayed the same while the boat moved, so it is not known where ${rows === 1 ? 'this depth is' : 'these depths are'}.`,
      { count: rows },
    ],
    spike: (rows: number) => [
      rows === 1
        ? 'Row dropped: its depth stands out from the depths beside it. If it is shallower than they are, it still counts as the shallowest depth there.'
        : 'Rows dropped: their depths stand out from the depths beside them. Those that are shallower still count as the shallowest depth there.',
      { count: rows },
    ],
    'double-echo': (rows: number) => [
      `${droppedFor(rows)} twice the depth around ${rows === 1 ? 'it' : 'them'}, which is a second echo.`,
      { count: rows },
    ],
    'shallow-echo': (rows: number, least: number) => [
      `${droppedFor(rows)} a half or a third of the depth around ${rows === 1 ? 'it' : 'them'} (${rows === 1 ? '' : 'the shallowest '}${meters(least)}), which is fish, weed or part of an echo. In case this is a shoal, ${rows === 1 ? 'this depth still counts' : 'these depths still count'} as the shallowest there.`,
      { count: rows, values: { least }, rank: least },
    ],
    'frozen-depth': (rows: number, distance: number) => [
      `${rowsOf(rows)} dropped: the depth stayed the same over ${inMeters(distance)}, so the sonar had lost bottom.`,
      { count: rows, values: { distance }, rank: -distance },
    ],
    'held-depth': (depth: number, rows: number, runs: number) => [
      `Rows dropped: the log repeats the depth ${meters(depth)} in ${runs} places, about ${Math.max(1, Math.round(rows / runs))} rows each time, so the sonar had lost bottom.`,
      { count: rows, values: { depth, runs }, rank: -rows },
    ],
    'depth-below-transducer': [
      'Depths are too shallow: this log measures them from the transducer, not from the water surface. Give the depth of the transducer with --transducer-draft.',
      { repair: { setting: 'transducer-draft' } },
    ],
    'depth-below-keel': [
      'Depths are too shallow: this log measures them from the keel, not from the water surface. Give the depth of the keel with --depth-offset.',
      { repair: { setting: 'depth-offset' } },
    ],
    temperature: (rows: number) => [
      'Water temperatures outside -1 to 40 C (30 to 104 F) were not used. The last usable temperature before them counts instead, if there is one.',
      { count: rows },
    ],
    'sound-speed none':
      'Depths are not corrected for the speed of sound: this log has no water temperature that can be used. Give the temperature of the water in C, such as --sound-speed.temperature 20.',
    'level-far': (then: number, today: number, most: number) => [
      `Depths may be wrong: they change by ${meters(Math.abs(today - then))}, because the water level was ${meters(then)} when this log was made and is ${meters(today)} on the day of the plan. A change of more than ${meters(most)} is unlikely. Check that all levels you gave are measured from the same zero.`,
      { values: { levelThen: then, levelToday: today, most } },
    ],
    'level-reference': (today: number) => [
      `Depths are right only if your logs were made at water level 0: ${meters(Math.abs(today))} ${today < 0 ? 'is taken from' : 'is added to'} every depth, and no readings say how high the water was then. Give readings for the days of the logs with --levels, or leave --water-level out.`,
      { values: { levelToday: today } },
    ],
    /** @param factor Ratio of log depths to mark depths. @param unit Unit in which the depths would agree. */
    'depth-unit-doubt': (
      { agreeing, marks }: { readonly agreeing: number; readonly marks: number },
      example: { readonly name: string; readonly log: number; readonly mark: number },
      factor: number,
      unit: 'm' | 'ft' | 'fm',
    ) => [
      `Every depth here may be wrong: your logs read ${factor.toFixed(1)} times what ${agreeing} of ${marks} marks with a depth say (${example.name === '' ? 'one of them' : quote(example.name)}: ${meters(example.log)} in the logs, ${meters(example.mark)} in the mark). If the logs are in ${UNIT_NAMES[unit]}, add --depth-unit ${unit}, and take any other unit out of the name of the depth column.`,
      { values: { factor, unit } },
    ],
    'level-unknown': (rows: number) => [
      'Depths may be off: rows without a date are used as if logged at the water level of the plan. Export the log with dates.',
      { count: rows },
    ],
    'level-outside': (rows: number, days: number) => [
      `Depths may be off: some were logged up to ${inDays(days)} from the nearest level reading, whose level was used. Add readings for the days of this log to the file of --levels.`,
      { count: rows, values: { days } },
    ],
    'level-today': (days: number) => [
      `Depths may be off: the day of the plan is ${inDays(days)} from the nearest level reading, whose level was used. Give the level on that day with --water-level.`,
      { values: { days } },
    ],
    'duplicate-log': (file: string, other: string, rows: number) => [
      `Depths of ${file} that are also in ${other} were used only once.`,
      { count: rows },
    ],
    dry: (rows: number) => [
      'Some of the bottom in your logs is dry on the day of the plan: it lies above the water level of that day. If that looks wrong, check the water levels you gave.',
      { count: rows },
    ],
  }),
  ...messages('soundings', 'note', {
    /** @param rows Number of rows dropped. */
    shallowest: (depth: number, rows: number) => [
      `${rows === 1 ? 'The depth of the dropped row' : 'The shallowest of the dropped rows'}, ${meters(depth)}, still counts as the shallowest depth there.`,
      { values: { depth }, rank: depth },
    ],
    'depth-offset': (offset: number, what: string) => [
      offset === 0
        ? 'Depths stay as logged, as asked.'
        : `${meters(Math.abs(offset))} is ${offset < 0 ? 'taken from' : 'added to'} every depth (${what}).`,
      { values: { offset } },
    ],
    'depth-reference':
      'Depths are taken as measured from the water surface, because the log does not say otherwise. If they are measured from the transducer, add --transducer-draft.',
    /** @param from What the log measures depths from: `keel` or `water surface`. */
    'draft-not-added': (from: string) =>
      `--transducer-draft is not added, because the depths of this log are measured from the ${from}. If that is wrong, use --depth-offset instead.`,
    'antenna-offset': (ahead: number, right: number) => [
      `Positions are moved from the antenna to the transducer: ${[
        ...(ahead === 0 ? [] : [`${meters(Math.abs(ahead))} ${ahead < 0 ? 'astern' : 'ahead'}`]),
        ...(right === 0 ? [] : [`${meters(Math.abs(right))} to the ${right < 0 ? 'left' : 'right'}`]),
      ].join(', ')}.`,
      { values: { ahead, right } },
    ],
    'sound-speed': (speed: number, assumed: number, temperature: number) => [
      `Depths are multiplied by ${(speed / assumed).toFixed(4)}: sound travels at ${speed.toFixed(1)} m/s in this water (${temperature} C, as given), and the sonar assumes ${assumed.toFixed(1)} m/s.`,
      { values: { speed, assumed } },
    ],
    /** @param speed Mean speed at the logged temperatures, m/s. */
    'sound-speed logged': (speed: number, assumed: number) => [
      `Each depth is multiplied by a factor for its logged water temperature, on average ${(speed / assumed).toFixed(4)}: sound travels at ${speed.toFixed(1)} m/s on average, and the sonar assumes ${assumed.toFixed(1)} m/s.`,
      { values: { speed, assumed } },
    ],
    /** @param then Mean level during the log, m. @param least Least level. @param most Greatest level. */
    'water-level': (then: number, today: number, least: number, most: number) => {
      const change = meters(Math.abs(today - then));
      const was = most - least > VARIED ? `${meters(least)} to ${meters(most)}` : meters(then);
      const about = { values: { levelThen: then, levelToday: today } };
      if (Math.max(most - today, today - least) < SAME_LEVEL)
        return [`Depths stay as logged: the water level was ${was} then, as on the day of the plan.`, about];
      return [
        `${change} is ${today < then ? 'taken from' : 'added to'} the depths of this log${most - least > VARIED ? ' on average' : ''}: the water level was ${was} when it was made, and is ${meters(today)} on the day of the plan.`,
        about,
      ];
    },
  }),
  ...messages('soundings', 'error', {
    levels: (text: string, expected: string) =>
      `The level readings cannot be read: ${text === '' ? `this line lacks ${expected}` : `${quote(text)} is not ${expected}`}. Correct the line.`,
    'levels empty':
      'This file has no readings of the water level. Add rows with time and level, or leave --levels out.',
  }),
};
