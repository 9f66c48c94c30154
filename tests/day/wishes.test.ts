import { describe, expect, test } from 'vitest';
import type { DayPlanOptions } from '../../shared/day/options.ts';
import { csv, plan, ringLake, zoneFile } from './lake.ts';

const clock = (hours: number, minutes = 0): number => hours * 3600 + minutes * 60;
const ring = ringLake(24, 9);
const nothing = new Float64Array(0);
/** A lake without soundings, because the water does not matter here. */
const lake = {
  ...ring,
  input: { ...ring.input, survey: { count: 0, lat: nothing, lon: nothing, shallowest: new Float32Array(0) } },
};
const base = { checkIn: '10:30', iterations: 10 } as const;
type Made = NonNullable<ReturnType<typeof plan>['plan']>;
const names = (made: Made): string[] => made.stops.map(({ spot }) => spot.name);

const KEPT: readonly (readonly [string, Partial<DayPlanOptions>, (made: Made) => boolean])[] = [
  ['must', { must: ['m 17'] }, (made) => names(made).includes('M17')],
  [
    'several musts',
    { must: ['M3', 'm-12'] },
    (made) => names(made).includes('M3') && names(made).includes('M12'),
  ],
  ['skip', { skip: ['m5'] }, (made) => !names(made).includes('M5')],
  ['first', { first: 'm5' }, (made) => names(made)[0] === 'M5'],
  ['last', { last: 'M9' }, (made) => names(made).at(-1) === 'M9'],
  [
    'not before',
    { must: ['M17'], notBefore: ['m17 = 8.30am'] },
    (made) => made.stops.every(({ spot, begin }) => spot.name !== 'M17' || begin >= clock(8, 30)),
  ],
  ['a start without a leading zero', { start: '7:15' }, (made) => made.start === clock(7, 15)],
  ['a check-in in the afternoon', { checkIn: '2:40pm' }, (made) => made.checkIn === clock(14, 40)],
  ['an end at a mark', { end: 'm 4' }, (made) => made.end.name === 'M4'],
  [
    'a mark as the position of the boat',
    { now: '0800', at: 'm 4' },
    (made) => made.from.name === 'M4' && made.start === clock(8),
  ],
  [
    'a list of marks',
    {
      marks: csv(
        { mark: 'm7', plan: 'must', 'not before': '8am' },
        { mark: 'm8', plan: 'skip' },
        { mark: 'M9', last: 'x' },
      ),
    },
    (made) => names(made).includes('M7') && !names(made).includes('M8') && names(made).at(-1) === 'M9',
  ],
  [
    'a wind that spoils one spot',
    { wind: 'SW@10mph', marks: csv({ mark: 'M1', winds: 'S-W=0' }) },
    (made) => !names(made).includes('M1'),
  ],
];

describe("the angler's wishes", () => {
  test('a mark without a cast that must be in the plan is reported', () => {
    const waypoints = lake.input.waypoints.map((mark) =>
      mark.waypoint.name === 'M3' ? { ...mark, fields: {} } : mark,
    );
    const { diagnostics } = plan({ ...lake, input: { ...lake.input, waypoints } }, { ...base, must: ['M3'] });
    expect(diagnostics.map(({ code }) => code)).toContain('day-plan/must-left-out');
  });

  test.each(KEPT)('%s is kept', (_, options, isKept) => {
    const { plan: made, diagnostics } = plan(lake, { ...base, ...options });
    expect(diagnostics.filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(made!.stops.length).toBeGreaterThan(1);
    expect(isKept(made!)).toBe(true);
  });

  const REFUSED: readonly (readonly [string, Partial<DayPlanOptions>, string, string])[] = [
    ['an unknown mark', { must: ['M1x'] }, 'day-plan/mark', 'M1'],
    ['an unknown end', { end: 'N4' }, 'day-plan/place', 'M4'],
    ['an unknown mark as the position of the boat', { now: '8:00', at: 'M 99' }, 'day-plan/place', 'M9'],
    ['a not-before without a time', { notBefore: ['M4'] }, 'day-plan/not-before', '9:00'],
    [
      'two last stops',
      { marks: csv({ mark: 'M1', plan: 'last' }, { mark: 'M2', plan: 'last' }) },
      'day-plan/wish-twice',
      'list of marks names 2: M1, M2',
    ],
    ['must and skip', { must: ['M4'], skip: ['m4'] }, 'day-plan/wish-conflict', '--must and --skip'],
    ['first and last', { first: 'M4', last: 'M4' }, 'day-plan/wish-conflict', 'M4'],
  ];

  test.each(REFUSED)('%s gives one clear error', (_, options, code, near) => {
    const { plan: made, diagnostics } = plan(lake, { ...base, ...options });
    expect(made).toBeUndefined();
    const errors = diagnostics.filter(({ severity }) => severity === 'error');
    expect(errors.map((error) => error.code)).toEqual([code]);
    expect(errors[0].message).toContain(near);
  });

  test('a required mark that cannot be in the plan is reported with the reason', () => {
    const zones = zoneFile({ name: 'dam', rule: 'closed' }, -2000, -2000, 4000);
    const { diagnostics } = plan(lake, { ...base, must: ['M4'], zones });
    const said = diagnostics.find(({ code }) => code === 'day-plan/must-left-out');
    expect(said!.message).toContain('closed zone "dam"');
  });

  test('a fuel range too short for every spot is named as the cause', () => {
    const { plan: made, diagnostics } = plan(lake, { ...base, fuelRange: 100 });
    expect(diagnostics.map(({ message }) => message).join()).toContain('--fuel-range');
    expect(new Set(made!.leftOut.map(({ why }) => why))).toEqual(
      new Set(['farther there and back than the fuel range']),
    );
  });

  test('must and first together do not conflict', () => {
    const { plan: made } = plan(lake, { ...base, must: ['M4'], first: 'm4' });
    expect(names(made!)[0]).toBe('M4');
  });
});
