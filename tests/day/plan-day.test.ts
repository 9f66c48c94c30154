import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { believe } from '../../shared/day/beliefs.ts';
import type { LoggedStop } from '../../shared/day/day-log.ts';
import { learn, takenOn, withExposures } from '../../shared/day/learning.ts';
import { patternLines, patternLineText } from '../../shared/day/pattern.ts';
import { spotsFromMarks } from '../../shared/day/spots.ts';
import { REST_MODEL } from '../../shared/day/stock.ts';
import { isClosed, readZones } from '../../shared/geo/zones.ts';
import { dayPlanMessages as says } from '../../shared/text/messages/day-plan.ts';
import { csv, geographic, placeText, plan, ringLake, zoneFile } from './lake.ts';

const clock = (hours: number, minutes = 0): number => hours * 3600 + minutes * 60;

describe('a day plan', () => {
  test('respects check-in, opening times, gaps and closed zones on any day', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 25 }),
        fc.integer({ min: 1, max: 1000 }),
        fc.integer({ min: 400, max: 900 }),
        fc.integer({ min: 30, max: 500 }),
        (marks, seed, startMinute, length) => {
          const lake = ringLake(marks, seed);
          const zones = zoneFile({ name: 'dam', rule: 'closed' }, 500, -300, 600);
          const text = (minutes: number): string =>
            `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
          const end = Math.min(1439, startMinute + length);
          const open = Math.min(1439, startMinute + 60);
          const { plan: made } = plan(lake, {
            start: text(startMinute),
            checkIn: text(end),
            zones,
            marks: csv({ mark: 'M1', open: text(open), close: text(end) }),
            iterations: 3,
          });
          expect(made).toBeDefined();
          const { stops, back, latestBack } = made!;
          if (stops.length > 0) expect(back).toBeLessThanOrEqual(latestBack + 0.01);
          stops.forEach((stop, at) => {
            const { side, spot } = stop;
            expect(isClosed(readZones(zones.value, '').zones, side.lat, side.lon)).toBe(false);
            if (spot.name === 'M1') expect(stop.begin).toBeGreaterThanOrEqual(open * 60);
            expect(stop.latestLeave).toBeGreaterThanOrEqual(stop.leave);
            for (const later of stops.slice(at + 1)) {
              if (later.spot.name !== spot.name || later.side.side !== side.side) continue;
              expect(later.begin - stop.leave).toBeGreaterThanOrEqual(7200 - 0.01);
            }
          });
        },
      ),
      { numRuns: 12 },
    );
  });

  test('has a consistent timetable: each stop starts when the one before and the run to it allow', () => {
    const { plan: made } = plan(ringLake(12, 3));
    let time = made!.start;
    let before = 0;
    for (const { run, arrive, begin, leave, latestLeave, stay, giveUp } of made!.stops) {
      // Moving around one spot needs no reserve, nor does the first run.
      const slack = run.distance === 0 ? 0 : before;
      expect(Math.abs(arrive - (time + slack + run.seconds))).toBeLessThan(1);
      before = 240;
      expect(latestLeave - leave).toBeGreaterThanOrEqual(0);
      expect(giveUp).toBeLessThan(stay);
      expect(begin).toBeGreaterThanOrEqual(arrive - 0.01);
      expect(Math.abs(leave - (begin + 180 + stay))).toBeLessThan(0.01);
      time = leave;
    }
    expect(Math.abs(made!.back - (time + 240 + made!.home.seconds))).toBeLessThan(1);
    const spare = made!.stops.map(({ leave, latestLeave }) => latestLeave - leave).sort((a, b) => a - b);
    expect(spare[Math.floor(spare.length / 2)]).toBeGreaterThanOrEqual(239);
  });

  test('reports a ramp far from the marks, and whether its latitude and longitude look swapped', () => {
    const lake = ringLake(6, 3);
    const said = (ramp: string) => plan(lake, { ramp }).diagnostics.map(({ message }) => message);
    expect(said('40.0, -89.0')).not.toContainEqual(expect.stringContaining('--ramp is'));
    expect(said('36.5, -93.0')).toContainEqual(
      expect.stringMatching(/^No stop can be reached: --ramp is .* from your nearest mark\. Check its/),
    );
    expect(said('-90.0, 40.0')).toContainEqual(expect.stringContaining('are swapped'));
    const { diagnostics } = plan(lake, { now: '8:00', at: '36.5, -93.0' });
    expect(diagnostics.map(({ message }) => message)).toEqual([
      expect.stringMatching(/^No stop can be reached: --at is /),
    ]);
  });

  test('is the same for the same input, and the same with an empty log as without one', () => {
    const lake = ringLake(15, 4);
    const first = JSON.stringify(plan(lake));
    expect(JSON.stringify(plan(lake))).toBe(first);
    expect(JSON.stringify(plan(lake, { log: csv() }))).toBe(first);
  });

  test('does not depend on the order of the log', () => {
    const lake = ringLake(15, 5);
    const rows = [
      { time: '07:00', mark: 'M1', fish: '3', side: 'D', minutes: '20' },
      { time: '07:40', mark: 'M2', fish: '0', side: 'U', minutes: '15' },
      { time: '08:10', mark: 'M1', fish: '1', side: 'U', minutes: '20' },
      { date: '2026-07-03', time: '09:00', mark: 'M3', fish: '2' },
    ] as Record<string, string>[];
    const [one, other] = [rows, rows.toReversed()].map((order) => plan(lake, { log: csv(...order) }).plan);
    expect(JSON.stringify(one)).toBe(JSON.stringify(other));
    expect(one!.logged).toBe(4);
  });

  test('starts at the given time and place when replanned, and rests a side that was just fished', () => {
    const lake = ringLake(6, 6);
    const log = csv({ time: '09:50', mark: 'M1', fish: '6', minutes: '25', side: 'D' });
    const { plan: made } = plan(lake, { log, now: '10:20', at: placeText(0, 800) });
    expect(made!.start).toBe(clock(10, 20));
    const again = made!.stops.filter(({ spot, side }) => spot.name === 'M1' && side.side === 0);
    for (const { begin } of again) expect(begin).toBeGreaterThanOrEqual(clock(12, 15));
    const [lat, lon] = geographic(0, 800);
    expect(made!.from.lat).toBeCloseTo(lat, 6);
    expect(made!.from.lon).toBeCloseTo(lon, 6);
  });

  test('gives a reason for every spot left out, and two fallbacks for its first stop', () => {
    const lake = ringLake(40, 7);
    const zones = zoneFile({ name: 'dam', rule: 'closed' }, 500, -300, 600);
    const { plan: made } = plan(lake, { zones, start: '06:30', checkIn: '10:00' });
    const names = new Set([
      ...made!.stops.map(({ spot }) => spot.name),
      ...made!.leftOut.map(({ name }) => name),
    ]);
    expect(names.size).toBe(made!.spots);
    expect(made!.leftOut.some(({ why }) => why === 'in closed zone "dam"')).toBe(true);
    expect(made!.leftOut.every(({ why }) => why.length > 10)).toBe(true);
    expect(made!.stops[0].fallbacks).toHaveLength(2);
    expect(made!.stops.every(({ why }) => why.includes('fish bite there'))).toBe(true);
  });

  test('compares a spot left out with the weakest stop kept, or says that no time is left', () => {
    const { plan: made } = plan(ringLake(40, 7), { start: '06:30', checkIn: '10:00' });
    expect(made!.leftOut.length).toBeGreaterThan(10);
    for (const { why } of made!.leftOut) {
      expect(why).toMatch(
        /^a chance of \d+ %, \d+ min from the nearest stop or the start; (for its time, worth \d+ % of the weakest stop kept \(M\d+\)|no time left for it after the stops kept)$/,
      );
    }
  });

  test('says when a fallback is planned for later, and ranks it after fallbacks that are not', () => {
    for (const count of [6, 40]) {
      const { stops } = plan(ringLake(count, 7), { start: '06:30', checkIn: '12:00' }).plan!;
      const fallbacks = stops.flatMap(({ fallbacks: others }, at) => {
        expect(others.map(({ plannedFor }) => plannedFor === undefined)).toEqual(
          others.map(({ plannedFor }) => plannedFor === undefined).sort((a, b) => Number(b) - Number(a)),
        );
        return others.map((other) => ({ ...other, at }));
      });
      for (const { spot: other, plannedFor, at } of fallbacks) {
        const next = stops.find(({ spot }, later) => later > at && spot.name === other.name);
        expect(plannedFor).toBe(next?.begin);
      }
      if (count === 6) expect(fallbacks.some(({ plannedFor }) => plannedFor !== undefined)).toBe(true);
    }
  });

  test('gives the run to a fallback without the spare time of a stop', () => {
    const runs = [0, 240].map((slack) => {
      const [first] = plan(ringLake(6, 7), { first: 'M1', slack }).plan!.stops;
      return first.fallbacks.map(({ spot, seconds }) => [spot.name, seconds]);
    });
    expect(runs[0]).toHaveLength(2);
    expect(runs[1]).toEqual(runs[0]);
  });

  test('offers a fallback that has time only when the stop is given up before its planned end', () => {
    const fallbacksBy = (minute: number): number | undefined => {
      const options = { start: '06:30', checkIn: `07:${minute}`, stays: ['20'], giveUp: 1200, visits: 1 };
      const { stops } = plan(ringLake(2, 7), options).plan!;
      return stops.length === 1 ? stops[0].fallbacks.length : undefined;
    };
    // The second spot fits as a stop from 07:54 on. Giving up comes five minutes before the end of a stay.
    expect([47, 48, 49, 50, 51, 52, 53, 54].map(fallbacksBy)).toEqual([0, 0, 1, 1, 1, 1, 1, undefined]);
  });

  test.each([
    [{ start: '10:00', checkIn: '09:00' }, 'day-plan/hours'],
    [{ now: '10:00' }, 'day-plan/now-at'],
    [{ now: '05:00', at: '40,-90' }, 'day-plan/now'],
    [{ ramp: undefined }, 'day-plan/place'],
    [{ log: csv({ time: '25:00', mark: 'M1', fish: '1' }) }, 'day-plan/log-value'],
    [{ log: csv({ time: '07:00', mark: 'M1', fish: '' }) }, 'day-plan/log-value'],
    [{ marks: csv({ mark: 'M1', priority: '9' }) }, 'day-plan/mark-value'],
    [{ speedInWind: ['fast'] }, 'day-plan/rough'],
    [{ stays: ['12', 'long'] }, 'day-plan/stays'],
    [{ at: 'nowhere' }, 'day-plan/place'],
    [{ notBefore: ['M1'] }, 'day-plan/not-before'],
  ])('%o is refused with one message', (options, code) => {
    const { plan: made, diagnostics } = plan(ringLake(3, 1), options);
    expect(made).toBeUndefined();
    expect(diagnostics.map((diagnostic) => diagnostic.code)).toEqual([code]);
  });

  test.each([
    [{ checkIn: '06:45' }, 'day-plan/no-stop'],
    [{ log: csv({ time: '07:00', mark: 'elsewhere', fish: '1' }) }, 'day-plan/log-mark'],
    [{ log: csv({ time: '07:00', mark: 'M1', fish: '1', date: '2026-07-09' }) }, 'day-plan/log-later'],
    [{ marks: csv({ mark: 'elsewhere' }) }, 'day-plan/mark-unknown'],
  ])('%o is reported, and the day is still planned', (options, code) => {
    const { plan: made, diagnostics } = plan(ringLake(3, 1), options);
    expect(made).toBeDefined();
    expect(diagnostics.map((diagnostic) => diagnostic.code)).toEqual([code]);
  });

  test.each([
    [1, 0, false, 'your only spot fits into 1 minute. Start earlier or check in later.'],
    [3, 20, false, 'any of 3 spots fits into 1 minute, with the --reserve of 20 minutes'],
    [3, 0, true, 'fits into 1 minute. Check in later.'],
  ])('an empty plan for %i spots, a reserve of %i min, under way %s', (spots, reserve, isUnderWay, text) => {
    expect(says['no-stop'](undefined, spots, 1, reserve, isUnderWay).message).toContain(text);
  });

  test.each([
    [
      {},
      'every spot is farther there and back than the --fuel-range of 1\u00a0m. Correct that distance',
      'start nearer to your spots.',
    ],
    [{ now: '8:00', at: 'M1' }, 'every spot is farther', 'otherwise take more fuel.'],
  ])('a range too short for any spot leaves the plan empty, with %o', (options, text, advice) => {
    const { diagnostics } = plan(ringLake(3, 1), { ...options, fuelRange: 1 });
    expect(diagnostics.map(({ code }) => code)).toEqual(['day-plan/no-stop']);
    expect(diagnostics[0].message).toContain(text);
    expect(diagnostics[0].message.endsWith(advice)).toBe(true);
  });

  test.each([
    [
      { log: csv({ time: '07:00', mark: 'M1', fish: '' }) },
      'the value of fish is missing. Add a whole number',
    ],
    [{ log: csv({ time: '07:00', mark: 'M1', fish: '1', minutes: '0' }) }, 'whole minutes from 1 to 999'],
    [{ log: csv({ time: '07:00', mark: '', fish: '1' }) }, 'it names no mark. Add the name.'],
    [{ marks: csv({ mark: 'M1', times: '6:00-9:00=20' }) }, 'a factor up to 10, such as'],
    [{ now: '05:00', at: '40,-90' }, 'The rest of the day cannot be planned: --now 05:00 is not between'],
  ])('%o is reported in words that fit the case', (options, text) => {
    const { diagnostics } = plan(ringLake(3, 1), options);
    expect(diagnostics[0].message).toContain(text);
  });

  test('assigns a stop logged by position to the nearest mark within 100 m, and reports a stop without such a mark', () => {
    const lake = ringLake(3, 1);
    const { lat, lon } = lake.input.waypoints[1].waypoint;
    const near = csv({ time: '07:00', mark: '4f', fish: '4', lat: String(lat + 0.0005), lon: String(lon) });
    expect(plan(lake, { log: near }).plan!.logged).toBe(1);
    const far = csv({ time: '07:00', mark: '4f', fish: '4', lat: String(lat + 0.05), lon: String(lon) });
    const { plan: made, diagnostics } = plan(lake, { log: far });
    expect(made!.logged).toBe(0);
    expect(diagnostics[0].code).toBe('day-plan/log-far');
  });

  test('leaves out marks on shore or without a cast and gives the reason, so that every stop has a cast', () => {
    const lake = ringLake(6, 3);
    const [first, second, third, ...rest] = lake.input.waypoints;
    const { downslope_lat: _d, upslope_lat: _u, ...noBoat } = second.fields;
    const waypoints = [
      { ...first, waypoint: { ...first.waypoint, name: 'Boat ramp' } },
      { ...second, fields: { ...noBoat, status: 'ok' as const, fish_top: 3 } },
      {
        ...third,
        fields: {
          ...third.fields,
          downslope_fish_contact: 0.2,
          upslope_fish_contact: 0,
          status: 'ok' as const,
          fish_top: 3,
        },
      },
      ...rest,
    ];
    const { plan: made } = plan({ ...lake, input: { ...lake.input, waypoints } });
    expect(Object.fromEntries(made!.leftOut.map(({ name, why }) => [name, why]))).toMatchObject({
      'Boat ramp': 'its name or symbol says that it is a place on shore',
      M2: 'no cast: no boat position within a cast of the fish',
      M3: 'no cast: none of your lures stays on bottom among the fish there',
    });
    for (const { side } of made!.stops) expect(side.worth).toBeGreaterThanOrEqual(1);
  });

  test('accepts names ignoring case for must, skip, first, last, not-before and places', () => {
    const lake = ringLake(30, 9);
    const { plan: made, diagnostics } = plan(lake, {
      checkIn: '10:30',
      must: ['m 17'],
      skip: ['M2'],
      first: 'm5',
      last: 'M9',
      notBefore: ['M17=8:30am'],
      at: 'm3',
    });
    expect(diagnostics.filter(({ severity }) => severity === 'error')).toEqual([]);
    const names = made!.stops.map(({ spot }) => spot.name);
    expect(names[0]).toBe('M5');
    expect(names.at(-1)).toBe('M9');
    expect(made!.stops.find(({ spot }) => spot.name === 'M17')!.begin).toBeGreaterThanOrEqual(clock(8, 30));
    expect(made!.leftOut).toContainEqual({ name: 'M2', why: 'skipped, as you asked' });
    expect(made!.from.name).toBe('M3');
    const wrong = plan(lake, { must: ['M1x'] });
    expect(wrong.plan).toBeUndefined();
    expect(wrong.diagnostics[0].message).toContain('M1');
    const marks = csv({ mark: 'm7', plan: 'must' }, { mark: 'm8', skip: 'yes' });
    const listed = plan(lake, { checkIn: '10:30', marks }).plan!;
    expect(listed.stops.some(({ spot }) => spot.name === 'M7')).toBe(true);
    expect(listed.leftOut).toContainEqual({ name: 'M8', why: 'skipped, as you asked' });
  });

  test('runs no farther than the fuel allows', () => {
    const lake = ringLake(30, 9);
    const way = ({ stops, home }: NonNullable<ReturnType<typeof plan>['plan']>) =>
      stops.reduce((sum, { run }) => sum + run.distance, home.distance);
    const free = way(plan(lake).plan!);
    expect(way(plan(lake, { fuelRange: free / 2 }).plan!)).toBeLessThanOrEqual(free / 2);
  });

  test('prefers spots with heavier fish if there is a limit, and gives the outlook as a range', () => {
    const lake = ringLake(30, 4);
    const waypoints = lake.input.waypoints.map((mark, at) =>
      at % 3 === 0 ? { ...mark, waypoint: { ...mark.waypoint, comment: 'two good ones, 5 lb' } } : mark,
    );
    const big = { ...lake, input: { ...lake.input, waypoints } };
    const meanOf = (limit: number): number => {
      const { stops } = plan(big, { limit, checkIn: '11:00' }).plan!;
      return (
        stops.reduce((sum, { weight, stay }) => sum + weight * stay, 0) /
        stops.reduce((sum, { stay }) => sum + stay, 0)
      );
    };
    expect(meanOf(5)).toBeGreaterThan(meanOf(0));
    const { outlook } = plan(big).plan!;
    expect(outlook.bag![0]).toBeLessThan(outlook.bag![2]);
    expect(outlook.limitChance).toBeGreaterThan(0);
  });

  test('lets priority raise the worth of a stop, and confidence its expected fish', () => {
    const lake = ringLake(1, 2);
    const first = (row: Record<string, string>) =>
      plan(lake, { limit: 0, marks: csv({ mark: 'M1', ...row }) }).plan!.stops[0];
    expect(first({ priority: '3' }).worth).toBeCloseTo(2 * first({ priority: '1' }).worth, 9);
    expect(first({ priority: '3' }).fish).toBeCloseTo(first({ priority: '1' }).fish, 9);
    expect(first({ confidence: '0.8' }).fish).toBeCloseTo(2 * first({ confidence: '0.4' }).fish, 9);
  });
});

describe('learning', () => {
  const stopOf = (spot: number, fish: number, time = clock(8), date = '2026-07-04'): LoggedStop => ({
    date,
    time,
    spot,
    side: 0,
    stay: 1200,
    fish,
    weights: [],
    lure: '',
    wind: '',
    note: '',
  });

  test('one blank of 20 minutes lowers the chance as calculated by hand', () => {
    // E = theta (1 - e^(-20/15)), b = 3 theta / 8, q0 = (b / (b + E))^3; p = 0.5 gives q0 / (1 + q0).
    const exposure = 1 - Math.exp(-20 / 15);
    const blank = (3 / 8 / (3 / 8 + exposure)) ** 3;
    const stops = [stopOf(0, 0)];
    const exposed = withExposures(1, stops, REST_MODEL);
    expect(exposed[0].exposure).toBeCloseTo(exposure, 12);
    expect(learn(0.5, 8, exposed, '2026-07-04').chance).toBeCloseTo(blank / (1 + blank), 12);
  });

  test('fish raise the chance to 0.95, and every night removes 40 % of what was learned', () => {
    const stops = [stopOf(0, 3)];
    const chanceOn = (date: string): number =>
      learn(0.5, 8, withExposures(1, stops, REST_MODEL), date).chance;
    expect(chanceOn('2026-07-04')).toBe(0.95);
    expect(chanceOn('2026-07-05')).toBeCloseTo(0.5 + 0.6 * 0.45, 12);
    expect(chanceOn('2026-07-06')).toBeCloseTo(0.5 + 0.36 * 0.45, 12);
    expect(takenOn('2026-07-04', 1, stops, REST_MODEL).visits[0]).toBe(1);
    expect(takenOn('2026-07-05', 1, stops, REST_MODEL).visits[0]).toBe(0);
  });

  test('zero fish never raises the chance at its own spot, whatever else was logged', () => {
    const spots = spotsFromMarks(ringLake(6, 8).input.waypoints, new Map(), 10, 1).spots;
    const stop = fc.record({
      spot: fc.nat({ max: spots.length - 1 }),
      fish: fc.nat({ max: 5 }),
      minute: fc.integer({ min: 0, max: 400 }),
      day: fc.integer({ min: 1, max: 4 }),
    });
    const toStop = ({
      spot,
      fish,
      minute,
      day,
    }: {
      spot: number;
      fish: number;
      minute: number;
      day: number;
    }) => stopOf(spot, fish, clock(6, minute), `2026-07-0${day}`);
    const inOrder = (stops: LoggedStop[]) =>
      stops.sort((a, b) => (a.date === b.date ? a.time - b.time : a.date < b.date ? -1 : 1));
    const options = { confidence: 0.5, fish: 8, date: '2026-07-04' };
    const chanceOf = (spot: number, stops: LoggedStop[]): number =>
      believe(spots, stops, options, REST_MODEL).chances[spot];
    fc.assert(
      fc.property(fc.array(stop, { maxLength: 8 }), stop, (others, blank) => {
        const before = inOrder(others.map(toStop));
        const added = toStop({ ...blank, fish: 0 });
        const after = inOrder([...before, added]);
        expect(chanceOf(added.spot, after)).toBeLessThanOrEqual(chanceOf(added.spot, before) + 1e-12);
      }),
      {
        numRuns: 500,
        examples: [
          // A blank before the fish must not weaken the blank after them.
          [
            [
              { spot: 2, fish: 0, minute: 29, day: 1 },
              { spot: 2, fish: 1, minute: 0, day: 1 },
            ],
            { spot: 2, fish: 0, minute: 9, day: 1 },
          ],
          [
            [
              { spot: 2, fish: 0, minute: 2, day: 4 },
              { spot: 2, fish: 1, minute: 1, day: 4 },
            ],
            { spot: 2, fish: 0, minute: 0, day: 4 },
          ],
        ],
      },
    );
  });

  test('the pattern shows hits and stops by kind, and odds as calculated by hand', () => {
    const spots = spotsFromMarks(ringLake(10, 8).input.waypoints, new Map(), 10, 1).spots;
    const ledges = spots.flatMap(({ structure }, at) => (structure === 'ledge' ? [at] : []));
    const stops = [...ledges.slice(0, 4).map((spot) => stopOf(spot, 2)), stopOf(ledges[4], 0), stopOf(1, 0)];
    const line = patternLines(spots, stops, '2026-07-05').find(({ kind }) => kind === 'ledge')!;
    expect(line).toMatchObject({ hits: 4, stops: 5, allHits: 4, allStops: 6 });
    const base = (4 + 2.1) / (6 + 6);
    const rate = (4 + 4 * base) / 9;
    expect(line.odds).toBeCloseTo((rate / (1 - rate) / (base / (1 - base))) ** 0.4, 12);
    expect(patternLineText(line, 'ft')).toBe('ledge: 4 of 5 stops gave fish, all stops 4 of 6: odds x 1.3');
  });
});
