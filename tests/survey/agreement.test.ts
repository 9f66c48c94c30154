import { describe, expect, test } from 'vitest';
import { duplicates } from '../../plugins/duplicates.ts';
import { passes } from '../../plugins/passes.ts';
import { waterLevel } from '../../plugins/water-level.ts';
import { inUnits } from '../../shared/contract/index.ts';
import type { CsvFile } from '../../shared/contract/options.ts';
import { orderKept, verticalLimit } from '../../shared/survey/agreement.ts';
import { findCrossings } from '../../shared/survey/crossings.ts';
import { levelAt, parseReadingTime, readLevels } from '../../shared/survey/levels.ts';
import { bottom, lawnmower, reduced } from './lawnmower.ts';
import { makeLog, makeSurvey, runOnLog, runOnSurvey, straightRun } from './make-log.ts';

describe('crossings', () => {
  test('two straight passes cross once, with the depths of the bottom', () => {
    const plane = (_: number, east: number, north: number) => 5 + 0.02 * east + 0.03 * north;
    const a = makeLog(straightRun({ count: 40, step: 2.5, east: -50, north: 3, bearing: 90, depth: plane }));
    const b = makeLog(
      straightRun({ count: 40, step: 2.5, east: 7, north: -50, bearing: 0, time: 1.7e9 + 500, depth: plane }),
    );
    const survey = makeSurvey([a, b]);
    const [found, ...others] = findCrossings(survey);
    expect(others).toEqual([]);
    expect(found.firstDepth).toBeCloseTo(5 + 0.14 + 0.09, 4);
    expect(found.secondDepth).toBeCloseTo(5 + 0.14 + 0.09, 4);
  });

  test('a grid of passes crosses at every corner, also across the 180th meridian', () => {
    for (const lon of [-93, 180]) {
      const run = (bearing: number, seed: number) =>
        makeLog(
          Array.from({ length: 6 }, (_, k) =>
            straightRun({
              count: 81,
              step: 2.5,
              bearing,
              east: bearing === 90 ? -100.3 : (k - 2.5) * 30,
              north: bearing === 90 ? (k - 2.5) * 30 : -100.3,
              time: 1.7e9 + seed + k * 200,
              depth: () => 5,
            }),
          ).flat(),
          45,
          lon,
        );
      const logs = [run(90, 0), run(0, 5000)].map((log) => ({
        ...log,
        pass: runOnLog(passes, log).change.columns!.pass!,
      }));
      expect(findCrossings(makeSurvey(logs))).toHaveLength(36);
    }
  });

  test('of very many crossings only a share is kept, but all crossings of a log with few', () => {
    const grid = (count: number, spacing: number, bearing: number, time: number) =>
      Array.from({ length: count }, (_, k) => {
        const aside = (k - (count - 1) / 2) * spacing + 0.1;
        return straightRun({
          count: 101,
          step: 2.5,
          bearing,
          east: bearing === 90 ? -125.3 : aside,
          north: bearing === 90 ? aside : -125.3,
          time: time + k * 400,
          depth: () => 5,
        });
      }).flat();
    const many = makeLog([...grid(100, 2.4, 90, 1.7e9), ...grid(100, 2.4, 0, 1.7e9 + 1e5)]);
    const few = makeLog(grid(2, 50, 0, 1.8e9));
    const logs = [many, few].map((log) => ({ ...log, pass: runOnLog(passes, log).change.columns!.pass! }));
    const survey = makeSurvey(logs);
    const crossings = findCrossings(survey);
    const withFew = crossings.filter(({ first, second }) => survey.log[first] + survey.log[second] > 0);
    expect(crossings.length - withFew.length).toBeGreaterThan(3000);
    expect(crossings.length - withFew.length).toBeLessThan(4000);
    expect(withFew).toHaveLength(200);
  });
});

describe('limits of S-44', () => {
  // IHO S-44 Edition 6.1.0 (2022): total vertical uncertainty limits at 10 m.
  test.each([
    ['Order 2', 1.0261],
    ['Order 1a/1b', 0.5166],
    ['Special Order', 0.261],
    ['Exclusive Order', 0.1677],
  ] as const)('the vertical limit of %s at 10 m matches the standard', (order, limit) => {
    expect(verticalLimit(order, 10)).toBeCloseTo(limit, 4);
    expect(orderKept(limit * Math.SQRT2 * 0.999, 10)).toBe(order);
  });
});

describe('duplicates', () => {
  const log = lawnmower({ bearing: 0, file: 'a.csv' });

  test('the same log given twice is used once', () => {
    const survey = makeSurvey([log, { ...log, file: 'copy.csv' }]);
    const { change, said } = runOnSurvey(duplicates, survey);
    expect(Array.from(change.dropped![0].rows)).toEqual(
      Array.from({ length: log.count }, (_, i) => log.count + i),
    );
    expect(said[0].message).toContain('copy.csv that are also in a.csv');
  });

  test('without times the same log given twice is used once', () => {
    const untimed = { ...log, time: new Float64Array(log.count).fill(Number.NaN) };
    const survey = makeSurvey([untimed, { ...untimed, file: 'copy.csv' }]);
    expect(runOnSurvey(duplicates, survey).change.dropped![0].rows).toHaveLength(log.count);
  });

  test('without times each sounding is said to be in the first log that has it', () => {
    const untimed = { ...log, time: new Float64Array(log.count).fill(Number.NaN) };
    const other = lawnmower({ bearing: 90, file: 'b.csv' });
    const across = { ...other, time: new Float64Array(other.count).fill(Number.NaN) };
    const survey = makeSurvey([untimed, across, { ...untimed, file: 'c.csv' }, { ...across, file: 'd.csv' }]);
    const { change, said } = runOnSurvey(duplicates, survey);
    expect(said.map(({ message }) => /\w\.csv that are also in \w\.csv/.exec(message)?.[0])).toEqual([
      'c.csv that are also in a.csv',
      'd.csv that are also in b.csv',
    ]);
    expect(Array.from(change.dropped![0].rows)).toEqual(
      Array.from({ length: log.count + other.count }, (_, i) => log.count + other.count + i),
    );
  });

  test('where rotated logs overlap, the common part is used once even if its blocks begin elsewhere', () => {
    const rows = straightRun({ count: 2000, depth: (_, east, north) => bottom(east, north) });
    const first = reduced(makeLog(rows.slice(0, 1200), 45, -93, 'a.csv'));
    const second = reduced(makeLog(rows.slice(803), 45, -93, 'b.csv'));
    const survey = makeSurvey([first, second]);
    const dropped = runOnSurvey(duplicates, survey).change.dropped![0].rows;
    const common = second.time.filter((t) => t <= first.time[first.count - 1]).length;
    expect(Math.abs(dropped.length - common)).toBeLessThanOrEqual(1);
  });

  test('two boats at the same time are not duplicates', () => {
    const other = lawnmower({ bearing: 90, file: 'b.csv' });
    expect(runOnSurvey(duplicates, makeSurvey([log, other])).change.dropped![0].rows).toHaveLength(0);
  });

  test('two sonars on one boat are duplicates if they mostly agree, but not if they agree now and then', () => {
    const rowsTaken = (share: number): number => {
      const depth = log.depth.map((own, row) => (row % 100 < 100 * share ? own : own + 0.5));
      const survey = makeSurvey([log, { ...log, file: 'b.csv', depth }]);
      return runOnSurvey(duplicates, survey).change.dropped![0].rows.length;
    };
    expect(rowsTaken(0.3)).toBe(0);
    expect(rowsTaken(0.7) / log.count).toBeCloseTo(0.7, 1);
  });

  test('two sonars on one boat with different depths are not duplicates', () => {
    const other = { ...log, file: 'b.csv', depth: log.depth.map((depth) => depth + 0.5) };
    expect(runOnSurvey(duplicates, makeSurvey([log, other])).change.dropped![0].rows).toHaveLength(0);
  });
});

const levelsFile = (text: string): CsvFile => {
  const [header, ...lines] = text
    .trim()
    .split('\n')
    .map((line) => line.split(','));
  return {
    file: 'levels.csv',
    header,
    rows: lines.map((values, i) => ({
      line: i + 2,
      values: Object.fromEntries(header.map((name, c) => [name, values[c]])),
    })),
  };
};

describe('water-level', () => {
  const survey = makeSurvey([
    makeLog([
      [0, 0, 5, 1714564800],
      [0, 1, 5, 1714608000],
      [0, 2, 5],
    ]),
  ]);
  const levels = levelsFile(
    'time,level_m\n2024-05-01T12:00Z,100.2\n2024-05-02T12:00Z,100.8\n2024-05-03,100.1\n',
  );

  test('depth today is depth measured plus level today minus level then', () => {
    const { change, codes } = runOnSurvey(waterLevel, survey, { levels, date: '2024-05-03' });
    const depth = Array.from(change.columns!.depth!);
    expect(depth[0]).toBeCloseTo(5 + 100.1 - 100.2, 5);
    expect(depth[1]).toBeCloseTo(5 + 100.1 - 100.5, 5);
    expect(change.columns!.shallowest![1]).toBeCloseTo(4.6, 5);
    expect(depth[2]).toBe(5);
    expect(codes).toEqual(['water-level', 'level-unknown']);
  });

  test('no depth is negative: ground above the water level of the plan is reported as dry', () => {
    const { change, codes } = runOnSurvey(waterLevel, survey, { today: -6, date: '2024-05-09' });
    expect(Array.from(change.columns!.depth!)).toEqual([0, 0, 0]);
    expect(Array.from(change.columns!.shallowest!)).toEqual([0, 0, 0]);
    expect(codes).toContain('dry');
  });

  test('the level on the day of the plan can be given', () => {
    const { change } = runOnSurvey(waterLevel, survey, { levels, today: 101.2, date: '2024-05-09' });
    expect(change.columns!.depth![0]).toBeCloseTo(6, 5);
  });

  test('without readings the level on the day of the plan is added to the depths, and is questioned', () => {
    const { change, codes } = runOnSurvey(waterLevel, survey, { today: -0.4, date: '2024-05-09' });
    expect(codes).toContain('level-reference');
    expect(Array.from(change.columns!.depth!)).toEqual([4.6, 4.6, 4.6].map((d) => expect.closeTo(d, 5)));
  });

  test('a level that looks like an elevation, given without readings, is questioned, because it is added to every depth', () => {
    const { codes, said } = runOnSurvey(waterLevel, survey, { today: 184.5, date: '2024-05-09' });
    expect(codes).toEqual(['level-reference']);
    expect(said[0].severity).toBe('warning');
    const unlike = runOnSurvey(waterLevel, survey, { levels, today: 1.2, date: '2024-05-09' });
    expect(unlike.codes).toContain('level-far');
  });

  test('a log of days with different levels is told both levels, and an equal level moves nothing', () => {
    const [said] = runOnSurvey(waterLevel, survey, { levels, date: '2024-05-03' }).said;
    expect(inUnits(said.message, 'm')).toBe(
      '0.25 m is taken from the depths of this log on average: the water level was 100.20 m to 100.50 m when it was made, and is 100.10 m on the day of the plan.',
    );
    const same = makeSurvey([makeLog([[0, 0, 5, 1714564800]])]);
    const [alike] = runOnSurvey(waterLevel, same, { levels, today: 100.2, date: '2024-05-03' }).said;
    expect(inUnits(alike.message, 'm')).toBe(
      'Depths stay as logged: the water level was 100.20 m then, as on the day of the plan.',
    );
  });

  test('days beyond the readings use the nearest one, and are reported', () => {
    const late = makeSurvey([makeLog([[0, 0, 5, 1715083200]])]);
    const { codes, said } = runOnSurvey(waterLevel, late, { levels, date: '2024-05-20' });
    expect(codes).toEqual(['level-today', 'water-level', 'level-outside']);
    expect(said[2].message).toContain('up to 4 days');
  });

  test('any datum works: shifting every reading changes nothing', () => {
    const shifted = levelsFile(
      'time,level_m\n2024-05-01T12:00Z,0.2\n2024-05-02T12:00Z,0.8\n2024-05-03,0.1\n',
    );
    const a = runOnSurvey(waterLevel, survey, { levels, date: '2024-05-03' }).change.columns!.depth!;
    const b = runOnSurvey(waterLevel, survey, { levels: shifted, date: '2024-05-03' }).change.columns!.depth!;
    expect(Array.from(a)).toEqual(Array.from(b, (d) => expect.closeTo(d, 5)));
  });

  test('readings in feet, unsorted, with offsets or with dates only are read', () => {
    const { levels: read, problems } = readLevels(
      levelsFile('date,level_ft\n2024-05-02,10\n2024-05-01T07:00-05:00,9.5\n'),
    );
    expect(problems).toEqual([]);
    expect(read.time).toEqual([1714564800, 1714651200]);
    expect(read.level[1]).toBeCloseTo(3.048, 6);
    expect(levelAt(read, 1714608000)).toEqual({ level: expect.closeTo(9.75 * 0.3048, 6), outside: 0 });
  });

  test('two readings at the same time are averaged, whichever comes first in the file', () => {
    for (const [first, second] of [
      ['10.2', '10.6'],
      ['10.6', '10.2'],
    ]) {
      const text = `time,level_m\n2024-05-01,${first}\n2024-05-01T12:00Z,${second}\n2024-05-02,11\n`;
      const { levels: read } = readLevels(levelsFile(text));
      expect(read.time).toEqual([1714564800, 1714651200]);
      expect(read.level).toEqual([expect.closeTo(10.4, 9), 11]);
    }
  });

  test.each([
    ['time,level_m\n2024-05-01,ten\n', '"ten"'],
    ['time,level_m\n2024-02-30,10\n', '"2024-02-30"'],
    ['time,level_m\n05/01/2024,10\n', '"05/01/2024"'],
    ['time,level\n2024-05-01,10\n', 'level_m or level_ft'],
    ['time,level_m\n', 'no readings'],
  ])('an unreadable reading is refused with the name of its file: %j', (text, quoted) => {
    const { problems } = readLevels(levelsFile(text));
    expect(problems[0].severity).toBe('error');
    expect(problems[0].message).toContain(quoted);
    expect(problems[0].place?.file).toBe('levels.csv');
  });

  test.each(['2024-02-30', '2024-13-01', '2024-05-01T24:00', '1e3', ''])(
    '%j is not a reading time',
    (text) => {
      expect(parseReadingTime(text)).toBeNaN();
    },
  );
});
