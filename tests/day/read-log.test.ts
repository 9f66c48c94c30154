import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import { parseZone } from '../../shared/text/time-zone.ts';
import { readLake } from '../../src/day/read-lake.ts';
import { parseLogLine, readLogs } from '../../src/day/read-log.ts';
import { readInput } from '../../src/files/read-input.ts';

const folder = mkdtempSync(join(tmpdir(), 'day-plan-'));
const file = (name: string, text: string): string => {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
};

describe('the log', () => {
  test('a plain line gives time, mark, fish, side, minutes and note', () => {
    expect(parseLogLine('0715 A12 4 D 25m on the first cast', [])).toEqual({
      date: '',
      time: '0715',
      mark: 'A12',
      fish: '4',
      side: 'D',
      minutes: '25',
      note: 'on the first cast',
    });
    expect(parseLogLine('2026-07-04 7:15 LONG HUMP 3 0', ['LONG HUMP 3', 'LONG'])).toMatchObject({
      date: '2026-07-04',
      time: '7:15',
      mark: 'LONG HUMP 3',
      fish: '0',
    });
    for (const bad of ['0715 A12', '2575 A12 4', 'A12 4', '0715'])
      expect(parseLogLine(bad, [])).toBeUndefined();
  });

  test('CSV rows, plain lines and waypoints marked on the water are combined', async () => {
    const log = await readLogs(
      [
        file(
          'a.csv',
          'date,time,mark,minutes,fish,side,lure,note\n2026-07-04,07:15,A1,25,4,D,16 ft diver,"a, b"\n',
        ),
        file('b.log', '# morning\n0815 A2 0 U 15m\n'),
        file(
          'c.gpx',
          '<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="40" lon="-90"><time>2026-07-04T14:00:00Z</time><name>4f 25m D</name></wpt><wpt lat="41" lon="-90"><name>stump</name></wpt></gpx>',
        ),
      ],
      readInput,
      ['A1', 'A2'],
      undefined,
      () => {},
    );
    expect(log!.rows.map(({ values }) => [values.mark, values.fish, values.minutes, values.side])).toEqual([
      ['A1', '4', '25', 'D'],
      ['A2', '0', '15', 'U'],
      ['4f 25m D', '4', '25', 'D'],
    ]);
    expect(log!.rows[2].values.lat).toBe('40');
  });

  test.each([
    ['America/Chicago', '2026-07-03', '21:30'],
    ['America/Chicago', '2026-11-01', '01:30', '2026-11-01T07:30:00Z'],
    ['-05:00', '2026-07-03', '21:30'],
    ['+05:45', '2026-07-04', '08:15'],
    [undefined, '2026-07-04', '02:30'],
  ])(
    'times of waypoints are UTC and are converted to --tz %s, whatever the time zone of the machine',
    async (tz, date, time, at = '2026-07-04T02:30:00Z') => {
      const path = file(
        'tz.gpx',
        `<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="40" lon="-90"><time>${at}</time><name>4f D</name></wpt></gpx>`,
      );
      const before = process.env.TZ;
      for (const machine of ['UTC', 'Asia/Tokyo', 'America/Los_Angeles']) {
        process.env.TZ = machine;
        const said: string[] = [];
        const zone = tz === undefined ? undefined : parseZone(tz);
        const log = await readLogs([path], readInput, [], zone, ({ code }) => said.push(code));
        expect([log!.rows[0].values.date, log!.rows[0].values.time]).toEqual([date, time]);
        expect(said).toEqual(tz === undefined ? ['day-plan/log-utc'] : []);
      }
      if (before === undefined) delete process.env.TZ;
      else process.env.TZ = before;
    },
  );

  test('unreadable lines are refused together, each with file and line', async () => {
    const path = file('bad.log', '0715 A1 4\nno time here\n0800 A1\n');
    const refusal = await readLogs([path], readInput, ['A1'], undefined, () => {}).catch(
      (cause: unknown) => cause,
    );
    expect(refusal).toBeInstanceOf(Refusal);
    const { diagnostics } = refusal as Refusal;
    expect(diagnostics.map(({ code, place }) => [code, place?.line])).toEqual([
      ['day-plan/log-line', 2],
      ['day-plan/log-line', 3],
    ]);
  });

  test('a file without any readable line is refused with one message', async () => {
    const path = file('sonar.csv', '# boat\ntime,lat,lon,depth\n1,40,-90,3\n2,40,-90,3\n');
    const reading = readLogs([path], readInput, ['A1'], undefined, () => {});
    await expect(reading).rejects.toMatchObject({
      diagnostics: [
        {
          place: { line: 2 },
          message: expect.stringMatching(
            /^This file is not a log of what you caught: its first line "time,lat/,
          ),
        },
      ],
    });
  });
});

test('marks and their fields are read back from an enriched file, and boat positions are not read as marks', () => {
  const path = file(
    'lake.enriched.gpx',
    `<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1" xmlns:ds="urn:downslope:gpx:1">
<wpt lat="40" lon="-90"><name>A1</name><extensions><ds:waypoint made="extensions"><ds:depth unit="m">4.51</ds:depth><ds:structure>point</ds:structure><ds:slope unit="deg">steep</ds:slope></ds:waypoint></extensions></wpt>
<wpt lat="40.001" lon="-90"><name>A1 D</name><type>boat position</type><extensions><ds:boat of="A1" side="D" name="A1 D" lat="40.0010000" lon="-90.0000000"/></extensions></wpt>
</gpx>`,
  );
  const marks = readLake([path], readInput, false, () => {});
  expect(marks.map(({ waypoint }) => waypoint.name)).toEqual(['A1']);
  expect(marks[0].fields).toEqual({ depth: 4.51, structure: 'point' });
});
