import type { OptionDefinition, OptionDefinitions, OptionValues } from '../contract/index.ts';
import { castOption, dateOption, draftOption, windOption, zonesOption } from '../retrieve/index.ts';
import { CLOCK_PATTERN, parseClock } from '../text/index.ts';
import { parseWeight } from './sizes.ts';

const clock = (flag: string, help: string) =>
  ({
    kind: 'text',
    flag,
    pattern: CLOCK_PATTERN,
    isValid: (text: string) => parseClock(text) !== undefined,
    expected: 'a time of the day such as 6:30, 0630 or 2:40pm',
    help,
  }) as const satisfies OptionDefinition;

const place = (flag: string, help: string) =>
  ({ kind: 'text', flag, help }) as const satisfies OptionDefinition;

const weight = <const D extends string>(flag: string, usual: D, help: string) =>
  ({
    kind: 'text',
    flag,
    default: usual,
    isValid: (text: string) => parseWeight(text) !== undefined,
    expected: 'a weight such as 2lb or 0.9kg',
    help,
  }) as const satisfies OptionDefinition;

/** Options of the day plan; defaults are judgment unless they say otherwise. */
export const dayPlanOptions = {
  ramp: place('ramp', 'Where the day starts and ends, LAT,LON or the name of a mark; every plan needs it.'),
  end: place('end', 'Where the day ends if not at the ramp, LAT,LON or the name of a mark.'),
  start: { ...clock('start', 'Time at which you leave the ramp.'), default: '06:30' },
  checkIn: { ...clock('check-in', 'Time of the check-in at the ramp.'), default: '14:40' },
  reserve: {
    kind: 'seconds',
    flag: 'reserve',
    min: 0,
    max: 14_400,
    default: 1200,
    help: 'Time kept in reserve before the check-in.',
  },
  speed: {
    kind: 'speed',
    flag: 'speed',
    min: 0.5,
    max: 60,
    default: 20.1168,
    help: 'Run speed on open water.',
  },
  speedInWind: {
    kind: 'list',
    flag: 'speed-in-wind',
    help: 'Your run speed from each wind speed on, such as 10mph=38mph,18mph=25mph; used with --wind.',
  },
  now: clock('now', 'Plan the rest of the day from this time.'),
  at: place('at', 'Where you are now, or start if not at the ramp: LAT,LON or the name of a mark.'),
  must: { kind: 'list', flag: 'must', help: 'Marks that must be in the plan.' },
  skip: { kind: 'list', flag: 'skip', help: 'Marks that the plan leaves out.' },
  first: { kind: 'text', flag: 'first', help: 'Mark of the first stop.' },
  last: { kind: 'text', flag: 'last', help: 'Mark of the last stop.' },
  notBefore: {
    kind: 'list',
    flag: 'not-before',
    help: 'Earliest times of marks, such as "LEDGE 8=9:00".',
  },
  fuelRange: {
    kind: 'length',
    flag: 'fuel-range',
    min: 0,
    exclusiveMin: true,
    max: 1_000_000,
    help: 'Longest running distance that your fuel allows, such as 60mi, all at full speed.',
  },
  zones: zonesOption,
  shore: {
    kind: 'file',
    format: 'json',
    flag: 'shore',
    help: 'Shoreline as GeoJSON polygons: adds water that is marked unverified, and no line is drawn over it.',
  },
  marks: {
    kind: 'file',
    format: 'csv',
    flag: 'marks',
    help: 'List of marks, CSV with mark and optionally priority (1 to 3), confidence, not before, close, times, winds, plan (must, skip, first, last).',
  },
  margin: {
    kind: 'length',
    flag: 'margin',
    min: 0,
    max: 20,
    default: 0.6096,
    help: 'Clearance below the draft that a run keeps.',
  },
  confidence: {
    kind: 'number',
    flag: 'confidence',
    min: 0.01,
    max: 0.99,
    default: 0.5,
    help: 'Chance that a mark holds biting fish, unless the list of marks gives it.',
  },
  fish: {
    kind: 'number',
    flag: 'fish',
    min: 0,
    exclusiveMin: true,
    max: 100,
    default: 5,
    help: 'Fish that a long stay at a rested school gives, until your logs say otherwise.',
  },
  stays: {
    kind: 'list',
    flag: 'stays',
    default: ['20', '30', '40'],
    help: 'Lengths of a stop to choose from, minutes.',
  },
  setUp: {
    kind: 'seconds',
    flag: 'set-up',
    min: 0,
    max: 3600,
    default: 180,
    help: 'Time between arriving at a stop and the first cast.',
  },
  slack: {
    kind: 'seconds',
    flag: 'slack',
    min: 0,
    max: 3600,
    default: 240,
    help: 'Spare time planned at every stop.',
  },
  limit: {
    kind: 'count',
    flag: 'limit',
    min: 0,
    max: 50,
    default: 5,
    help: 'Number of fish that count, the heaviest; 0 plans for the number of fish.',
  },
  fishWeight: weight('fish-weight', '2lb', 'Mean weight of a fish at an ordinary spot.'),
  keeper: weight('keeper', '0.9lb', 'Least weight of a fish that counts.'),
  sizes: {
    kind: 'list',
    flag: 'sizes',
    default: ['short=0.8lb', 'keeper=1.8lb', 'good=3.5lb'],
    help: 'Weights of the words for sizes in a log.',
  },
  underWay: {
    kind: 'seconds',
    flag: 'under-way',
    min: 0,
    max: 1800,
    default: 120,
    help: 'Time added to every run: stowing rods, getting up to speed, settling.',
  },
  rest: {
    kind: 'seconds',
    flag: 'rest',
    min: 0,
    max: 43_200,
    default: 7200,
    help: 'Least time between leaving a side and fishing the same side again.',
  },
  recovery: {
    kind: 'seconds',
    flag: 'recovery',
    min: 60,
    max: 86_400,
    default: 4500,
    help: 'Time in which the part taken from a school shrinks to 37 %.',
  },
  visits: {
    kind: 'count',
    flag: 'visits',
    min: 1,
    max: 10,
    default: 2,
    help: 'Most visits to one spot.',
  },
  giveUp: {
    kind: 'seconds',
    flag: 'give-up',
    min: 60,
    max: 7200,
    default: 720,
    help: 'Time without a bite after which you leave a stop.',
  },
  iterations: {
    kind: 'count',
    flag: 'iterations',
    min: 1,
    max: 1_000_000,
    default: 2500,
    help: 'Rounds of the search for a better order.',
  },
  seed: {
    kind: 'count',
    flag: 'seed',
    min: 0,
    max: 4_294_967_295,
    default: 1,
    help: 'Seed of the search: the same seed and inputs give the same plan.',
  },
  draft: draftOption,
  cast: castOption,
  wind: windOption,
  date: dateOption,
  log: {
    kind: 'file',
    format: 'csv',
    help: 'Log of what was fished, CSV with time, mark and fish and optionally date, minutes, side, lure, size, note.',
  },
} as const satisfies OptionDefinitions;

export type DayPlanOptions = OptionValues<typeof dayPlanOptions>;
