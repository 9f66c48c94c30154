import type { OptionDefinition, OptionDefinitions, OptionValues } from '../contract/index.ts';
import { castOption, dateOption, draftOption, windOption, zonesOption } from '../retrieve/index.ts';
import { CLOCK_PATTERN, parsePlace } from '../text/index.ts';

const clock = (flag: string, help: string) =>
  ({
    kind: 'text',
    flag,
    pattern: CLOCK_PATTERN,
    expected: 'a time of the day such as 06:30',
    help,
  }) as const;

/** `LAT,LON` in degrees. */
const place = (flag: string, help: string) =>
  ({
    kind: 'text',
    flag,
    isValid: (text: string) => parsePlace(text) !== undefined,
    expected: 'LAT,LON in degrees such as 35.1234,-85.4321',
    help,
  }) as const satisfies OptionDefinition;

/** Options of the day plan; defaults are judgment unless they say otherwise. */
export const dayPlanOptions = {
  ramp: place('ramp', 'Where the day starts and ends, LAT,LON; every plan needs it.'),
  start: { ...clock('start', 'Time at which you leave the ramp.'), default: '06:30' },
  checkIn: { ...clock('check-in', 'Time of the check-in at the ramp.'), default: '14:40' },
  reserve: {
    kind: 'seconds',
    flag: 'reserve',
    min: 0,
    max: 14_400,
    default: 1200,
    help: 'Time kept in hand before the check-in.',
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
    help: 'Your run speed from a wind on, such as 10mph=38mph,18mph=25mph; used with --wind.',
  },
  now: clock('now', 'Plan the rest of the day from this time.'),
  at: place('at', 'Where you are now, LAT,LON.'),
  zones: zonesOption,
  shore: {
    kind: 'file',
    format: 'json',
    flag: 'shore',
    help: 'Shoreline as GeoJSON polygons: adds water that is marked unverified; no line is drawn over it.',
  },
  marks: {
    kind: 'file',
    format: 'csv',
    flag: 'marks',
    help: 'List of marks, CSV with mark and optionally priority (1 to 3), confidence, open, close, times, winds.',
  },
  margin: {
    kind: 'length',
    flag: 'margin',
    min: 0,
    max: 20,
    default: 0.6096,
    help: 'Depth under the draft that a run keeps.',
  },
  confidence: {
    kind: 'number',
    flag: 'confidence',
    min: 0.01,
    max: 0.99,
    default: 0.5,
    help: 'Chance that a mark holds biting fish, where the list of marks does not say.',
  },
  fish: {
    kind: 'number',
    flag: 'fish',
    min: 0,
    exclusiveMin: true,
    max: 100,
    default: 8,
    help: 'Fish that a long stay at a rested school gives.',
  },
  stays: {
    kind: 'list',
    flag: 'stays',
    default: ['12', '20', '30', '40'],
    help: 'Minutes that a stop may have.',
  },
  setUp: {
    kind: 'seconds',
    flag: 'set-up',
    min: 0,
    max: 3600,
    default: 180,
    help: 'Time between arriving at a stop and the first cast.',
  },
  underWay: {
    kind: 'seconds',
    flag: 'under-way',
    min: 0,
    max: 1800,
    default: 120,
    help: 'Time that every run takes besides its way: stowing rods, getting up to speed, settling.',
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
    default: 3,
    help: 'Most visits to one spot.',
  },
  giveUp: {
    kind: 'seconds',
    flag: 'give-up',
    min: 60,
    max: 7200,
    default: 720,
    help: 'Time without a bite after which a stop is given up.',
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
    help: 'Log of what was fished, CSV with time, mark and fish and optionally date, minutes, side, lure, note.',
  },
} as const satisfies OptionDefinitions;

export type DayPlanOptions = OptionValues<typeof dayPlanOptions>;
