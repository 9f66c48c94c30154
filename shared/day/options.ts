import type { NumberOption, OptionDefinition, OptionDefinitions, OptionValues } from '../contract/index.ts';
import { castOption, dateOption, draftOption, windOption, zonesOption } from '../retrieve/index.ts';
import { CLOCK_PATTERN, parseClock } from '../text/index.ts';
import { parseWeight } from './sizes.ts';

const clock = (flag: string, help: string) =>
  ({
    kind: 'text',
    flag,
    pattern: CLOCK_PATTERN,
    isValid: (value: string) => parseClock(value) !== undefined,
    expected: 'a time of the day such as 6:30, 0630 or 2:40pm',
    help,
  }) as const satisfies OptionDefinition;

const text = (flag: string, help: string) =>
  ({ kind: 'text', flag, help }) as const satisfies OptionDefinition;

const list = (flag: string, help: string) =>
  ({ kind: 'list', flag, help }) as const satisfies OptionDefinition;

const within = <K extends NumberOption['kind']>(
  kind: K,
  flag: string,
  [min, max]: readonly [min: number, max: number],
  usual: number,
) => ({ kind, flag, min, max, default: usual });

const weight = <const D extends string>(flag: string, usual: D, help: string) =>
  ({
    kind: 'text',
    flag,
    default: usual,
    isValid: (value: string) => parseWeight(value) !== undefined,
    expected: 'a weight such as 2lb or 0.9kg',
    help,
  }) as const satisfies OptionDefinition;

/** Options of the day plan. Their default values are a matter of judgment. */
export const dayPlanOptions = {
  ramp: text('ramp', 'Where the day starts and ends, LAT,LON or the name of a mark; every plan needs it.'),
  end: text('end', 'Where the day ends if not at the ramp, LAT,LON or the name of a mark.'),
  start: { ...clock('start', 'Time at which you leave the ramp.'), default: '06:30' },
  checkIn: { ...clock('check-in', 'Time of the check-in, at the ramp or at --end.'), default: '14:40' },
  reserve: {
    ...within('seconds', 'reserve', [0, 14_400], 1200),
    help: 'Time kept in reserve before the check-in.',
  },
  speed: { ...within('speed', 'speed', [0.5, 60], 20.1168), help: 'Run speed on open water.' },
  speedInWind: list(
    'speed-in-wind',
    'Your run speed once the wind reaches each speed, such as 10mph=38mph,18mph=25mph; used with --wind.',
  ),
  now: clock('now', 'Plan the rest of the day from this time; needs --at.'),
  at: text('at', 'Where you are now, or where you start if not at the ramp: LAT,LON or the name of a mark.'),
  must: list('must', 'Marks that must be in the plan.'),
  skip: list('skip', 'Marks that the plan leaves out.'),
  first: text('first', 'Mark of the first stop.'),
  last: text('last', 'Mark of the last stop.'),
  notBefore: list('not-before', 'Earliest time of a stop at a mark, such as "LEDGE 8=9:00".'),
  fuelRange: {
    kind: 'length',
    flag: 'fuel-range',
    min: 0,
    exclusiveMin: true,
    max: 1_000_000,
    help: 'Longest distance that you can run on your fuel at full speed, such as 60mi.',
  },
  zones: zonesOption,
  shore: {
    kind: 'file',
    format: 'json',
    flag: 'shore',
    help: 'Shoreline as GeoJSON polygons: runs may also cross unsounded water inside it, marked unverified and without a line.',
  },
  marks: {
    kind: 'file',
    format: 'csv',
    flag: 'marks',
    help: 'List of marks, CSV with mark and optionally priority (1 to 3), confidence, not before, close, times, winds, plan (must, skip, first, last).',
  },
  margin: {
    ...within('length', 'margin', [0, 20], 0.6096),
    help: 'Clearance below the draft that a run keeps.',
  },
  confidence: {
    ...within('number', 'confidence', [0.01, 0.99], 0.5),
    help: 'Chance that fish bite at a mark, unless the list of marks gives one.',
  },
  fish: {
    kind: 'number',
    flag: 'fish',
    min: 0,
    exclusiveMin: true,
    max: 100,
    default: 5,
    help: 'Number of fish that you expect to catch in a long stay at a rested school, until your logs say more.',
  },
  stays: {
    kind: 'list',
    flag: 'stays',
    default: ['20', '30', '40'],
    help: 'Lengths of a stop to choose from, minutes.',
  },
  setUp: {
    ...within('seconds', 'set-up', [0, 3600], 180),
    help: 'Time between arriving at a stop and the first cast.',
  },
  slack: { ...within('seconds', 'slack', [0, 3600], 240), help: 'Spare time planned at every stop.' },
  limit: {
    ...within('count', 'limit', [0, 50], 5),
    help: 'Number of heaviest fish that count; 0 plans for as many fish as possible.',
  },
  fishWeight: weight('fish-weight', '2lb', 'Mean weight of a fish at an ordinary spot.'),
  keeper: weight('keeper', '0.9lb', 'Least weight of a fish that counts.'),
  sizes: {
    kind: 'list',
    flag: 'sizes',
    default: ['short=0.8lb', 'keeper=1.8lb', 'good=3.5lb'],
    help: 'Weights that the size words of a log stand for.',
  },
  underWay: {
    ...within('seconds', 'under-way', [0, 1800], 120),
    help: 'Time added to every run: stowing rods, getting up to speed, settling.',
  },
  rest: {
    ...within('seconds', 'rest', [0, 43_200], 7200),
    help: 'Least time between leaving a side and fishing the same side again.',
  },
  recovery: {
    ...within('seconds', 'recovery', [60, 86_400], 4500),
    help: 'Time in which a fished school recovers 63 % of what you took.',
  },
  visits: { ...within('count', 'visits', [1, 10], 2), help: 'Most visits to one spot.' },
  giveUp: {
    ...within('seconds', 'give-up', [60, 7200], 720),
    help: 'Time without a bite after which you leave a stop.',
  },
  iterations: {
    ...within('count', 'iterations', [1, 1_000_000], 2500),
    help: 'Rounds of the search for a better order.',
  },
  seed: {
    ...within('count', 'seed', [0, 4_294_967_295], 1),
    help: 'Seed of the search: the same seed and inputs give the same plan.',
  },
  draft: draftOption,
  cast: castOption,
  wind: windOption,
  date: dateOption,
  log: {
    kind: 'file',
    format: 'csv',
    help: 'Log of what was fished, CSV with time, mark and fish, and optionally date, minutes, side, lure, size, distance, wind and note.',
  },
} as const satisfies OptionDefinitions;

export type DayPlanOptions = OptionValues<typeof dayPlanOptions>;
