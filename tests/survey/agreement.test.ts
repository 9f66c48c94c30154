import { describe, expect, test } from 'vitest';
import { crossLines } from '../../plugins/cross-lines.ts';
import { duplicates } from '../../plugins/duplicates.ts';
import { farLogs } from '../../plugins/far-logs.ts';
import { lag } from '../../plugins/lag.ts';
import { passes } from '../../plugins/passes.ts';
import { reduceBlocks } from '../../plugins/reduce-blocks.ts';
import { waterLevel } from '../../plugins/water-level.ts';
import type { CsvFile } from '../../shared/contract/options.ts';
import type { SoundingLog } from '../../shared/contract/soundings.ts';
import { findCrossings } from '../../shared/survey/crossings.ts';
import { estimateLag } from '../../shared/survey/lag.ts';
import { levelAt, parseReadingTime, readLevels } from '../../shared/survey/levels.ts';
import { orderKept, verticalLimit } from '../../shared/survey/s44.ts';
import {
  type MadeRow,
  makeLog,
  makeNoise,
  makeSurvey,
  makeWaypoint,
  runOnLog,
  runOnSurvey,
  straightRun,
} from './make-log.ts';

/** A bottom with slopes everywhere, m. */
const bottom = (east: number, north: number): number =>
  8 + 2.5 * Math.sin(east / 25) + 1.5 * Math.cos(north / 18) + 0.01 * east;

/** Passes to and fro with their noise: `lagSeconds` puts positions behind depths. */
function lawnmower(options: {
  readonly bearing: number;
  readonly spacing?: number;
  readonly count?: number;
  readonly time?: number;
  readonly lagSeconds?: number;
  readonly offset?: number;
  readonly factor?: number;
  readonly file?: string;
  readonly seed?: number;
}): SoundingLog {
  const { bearing, spacing = 20, count = 8, time = 1.7e9, lagSeconds = 0, offset = 0, factor = 1 } = options;
  const noise = makeNoise(options.seed ?? 1);
  const speed = 2.5;
  const rows: MadeRow[] = [];
  const sin = Math.sin((bearing * Math.PI) / 180);
  const cos = Math.cos((bearing * Math.PI) / 180);
  for (let k = 0; k < count; k++) {
    const aside = (k - (count - 1) / 2) * spacing;
    const way = k % 2 === 0 ? 1 : -1;
    for (let i = 0; i < 400; i++) {
      const along = way * (-100 + i * 0.5);
      const [east, north] = [along * sin + aside * cos, along * cos - aside * sin];
      const depth = (bottom(east, north) + offset + 0.05 * noise()) * factor;
      const behind = way * speed * lagSeconds;
      rows.push([east - behind * sin, north - behind * cos, depth, time + k * 140 + i * 0.2]);
    }
  }
  return reduced(makeLog(rows, 45, -93, options.file ?? 'made.csv'));
}

/** A log split into passes and reduced to blocks, as logs are before they join the survey. */
function reduced(log: SoundingLog): SoundingLog {
  const pass = runOnLog(passes, log).change.columns!.pass!;
  const blocks = runOnLog(reduceBlocks, { ...log, pass }).change.reduced!;
  return { ...log, ...blocks, line: new Uint32Array(blocks.count) };
}

describe('crossings', () => {
  test('two straight passes cross once, where their depths are those of the bottom', () => {
    const plane = (_: number, east: number, north: number) => 5 + 0.02 * east + 0.03 * north;
    const a = makeLog(straightRun({ count: 40, step: 2.5, east: -50, north: 3, bearing: 90, depth: plane }));
    const b = makeLog(
      straightRun({ count: 40, step: 2.5, east: 7, north: -50, bearing: 0, time: 1.7e9 + 500, depth: plane }),
    );
    const survey = makeSurvey([a, b]);
    const found = findCrossings(survey);
    expect(found.count).toBe(1);
    expect(found.firstDepth[0]).toBeCloseTo(5 + 0.14 + 0.09, 4);
    expect(found.secondDepth[0]).toBeCloseTo(5 + 0.14 + 0.09, 4);
    expect(found.firstRate[0]).toBeCloseTo(0.02 * 2.5, 4);
    expect(found.secondRate[0]).toBeCloseTo(0.03 * 2.5, 4);
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
      expect(findCrossings(makeSurvey(logs)).count).toBe(36);
    }
  });

  test('of a log with very many crossings a share is kept, and all that one with few has a part in', () => {
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
    const { count, first, second } = findCrossings(survey);
    const withFew = Array.from(first).filter((row, k) => survey.log[row] + survey.log[second[k]] > 0);
    expect(count - withFew.length).toBeGreaterThan(3000);
    expect(count - withFew.length).toBeLessThan(4000);
    expect(withFew).toHaveLength(200);
  });
});

describe('lag', () => {
  test.each([
    ['crossing passes', [0, 90]],
    ['passes side by side, to and fro', [30]],
  ])('a lag of 1.2 s is found from %s', (_, bearings) => {
    const logs = bearings.map((bearing, i) =>
      lawnmower({ bearing, lagSeconds: 1.2, time: 1.7e9 + i * 5000, seed: i + 1, count: 10 }),
    );
    const found = estimateLag(makeSurvey(logs));
    expect(Math.abs(found.all!.seconds - 1.2)).toBeLessThan(0.15);
  });

  test('without a lag none is found', () => {
    const found = estimateLag(
      makeSurvey([lawnmower({ bearing: 0 }), lawnmower({ bearing: 90, time: 1.7e9 + 5000, seed: 2 })]),
    );
    expect(Math.abs(found.all!.seconds)).toBeLessThan(0.1);
  });

  test('one pass, a level bottom, or no times give no lag', () => {
    expect(estimateLag(makeSurvey([lawnmower({ bearing: 0, count: 1 })])).all).toBeUndefined();
    const level = reduced(makeLog(straightRun({ count: 400, depth: () => 5 })));
    expect(
      estimateLag(makeSurvey([level, { ...level, pass: level.pass.map((p) => p + 1) }])).all,
    ).toBeUndefined();
    const untimed = lawnmower({ bearing: 0 });
    expect(
      estimateLag(makeSurvey([{ ...untimed, time: untimed.time.fill(Number.NaN) }])).all,
    ).toBeUndefined();
  });

  test('a log with a lag of its own is moved by its own', () => {
    const survey = makeSurvey([
      lawnmower({ bearing: 0, lagSeconds: 1.2, file: 'a.csv', count: 12 }),
      lawnmower({ bearing: 40, lagSeconds: 1.2, file: 'b.csv', time: 1.7e9 + 5000, seed: 2, count: 12 }),
      lawnmower({ bearing: 90, file: 'c.csv', time: 1.7e9 + 10000, seed: 3, count: 12 }),
    ]);
    const { all, logs } = estimateLag(survey);
    expect(logs.map((found) => found!.seconds)).toEqual([1.2, 1.2, 0].map((lag) => expect.closeTo(lag, 1)));
    expect(all).toBeDefined();
    const { change } = runOnSurvey(lag, survey, { correct: true });
    const movedBy = (log: number) => {
      const row = survey.log.indexOf(log) + 20;
      const [perLat, perLon] = [111_131.8, 78_847];
      return Math.hypot(
        (change.columns!.lat![row] - survey.lat[row]) * perLat,
        (change.columns!.lon![row] - survey.lon[row]) * perLon,
      );
    };
    expect(movedBy(0)).toBeCloseTo(3, 0);
    expect(movedBy(2)).toBeLessThan(0.3);
  });

  test('it moves positions only when asked, and then takes the disagreement out', () => {
    const survey = makeSurvey([
      lawnmower({ bearing: 0, lagSeconds: 1.2 }),
      lawnmower({ bearing: 90, lagSeconds: 1.2, time: 1.7e9 + 5000, seed: 2 }),
    ]);
    const silent = runOnSurvey(lag, survey);
    expect(silent.change).toEqual({});
    expect(silent.said[0]).toMatchObject({ severity: 'warning', code: 'soundings/lag' });
    const { change } = runOnSurvey(lag, survey, { correct: true });
    const after = findCrossings({ ...survey, ...change.columns });
    const before = findCrossings(survey);
    const rms = ({ firstDepth, secondDepth }: typeof after) =>
      Math.sqrt(firstDepth.reduce((sum, d, i) => sum + (d - secondDepth[i]) ** 2, 0) / firstDepth.length);
    expect(rms(after)).toBeLessThan(0.4 * rms(before));
  });
});

describe('cross-lines', () => {
  const base = lawnmower({ bearing: 0, file: 'a.csv' });

  test('D12 a constant difference between files is named as an offset', () => {
    const survey = makeSurvey([
      base,
      lawnmower({ bearing: 90, offset: 0.6, time: 1.7e9 + 86400, file: 'b.csv', seed: 2 }),
    ]);
    const { said, change } = runOnSurvey(crossLines, survey);
    const offset = said.find(
      ({ code, place }) => code === 'soundings/cross-offset' && place?.file === 'b.csv',
    );
    expect(offset?.message).toMatch(/difference of 0\.(5[5-9]|6[0-5])\u00a0m at \d+ crossings of b.csv/);
    expect(change).toEqual({});
  });

  test('D12 the difference is taken out when asked', () => {
    const survey = makeSurvey([
      base,
      lawnmower({ bearing: 90, offset: 0.6, time: 1.7e9 + 86400, file: 'b.csv', seed: 2 }),
    ]);
    const { change } = runOnSurvey(crossLines, survey, { correct: true });
    const { firstDepth, secondDepth, count } = findCrossings({ ...survey, ...change.columns });
    expect(Math.abs(firstDepth.reduce((sum, d, i) => sum + d - secondDepth[i], 0) / count)).toBeLessThan(
      0.02,
    );
  });

  test.each([
    [1 / 0.3048, 'feet taken for meters'],
    [1.8288, 'meters taken for fathoms'],
    [0.3048, 'meters taken for feet'],
  ])('D13 a ratio of %f between files is named as a unit mismatch, never corrected', (factor, words) => {
    const survey = makeSurvey([
      base,
      lawnmower({ bearing: 90, factor, time: 1.7e9 + 86400, file: 'b.csv', seed: 2 }),
    ]);
    const { said, change } = runOnSurvey(crossLines, survey);
    expect(
      said.find(({ code, place }) => code === 'soundings/unit-mismatch' && place?.file === 'b.csv')?.message,
    ).toContain(words);
    expect(change).toEqual({});
  });

  test('D13 with a water level of its own as well, the unit is still named, and mended when asked', () => {
    const far = lawnmower({
      bearing: 90,
      factor: 1 / 0.3048,
      time: 1.7e9 + 86400,
      file: 'b.csv',
      seed: 2,
      count: 6,
    });
    const survey = makeSurvey([base, { ...far, depth: far.depth.map((depth) => depth + 0.9) }]);
    const { said, change } = runOnSurvey(crossLines, survey, { correct: true });
    const mismatch = said.find(
      ({ code, place }) => code === 'soundings/unit-mismatch' && place?.file === 'b.csv',
    );
    expect(mismatch?.message).toContain('feet taken for meters');
    expect(mismatch?.message).toContain('Corrected, as asked');
    const { firstDepth, secondDepth, count } = findCrossings({ ...survey, ...change.columns });
    const rms = Math.sqrt(firstDepth.reduce((sum, d, i) => sum + (d - secondDepth[i]) ** 2, 0) / count);
    expect(rms).toBeLessThan(0.15);
  });

  test('files that agree are not suspected', () => {
    const survey = makeSurvey([
      base,
      lawnmower({ bearing: 90, time: 1.7e9 + 86400, file: 'b.csv', seed: 2 }),
    ]);
    expect(runOnSurvey(crossLines, survey).codes).toEqual(['crossings']);
  });

  test('days of one file are compared as well', () => {
    const day = (log: SoundingLog) => ({ ...log, file: 'all.csv' });
    const both = makeSurvey([
      day(base),
      day(lawnmower({ bearing: 90, offset: 0.6, time: 1.7e9 + 86400, seed: 2 })),
    ]);
    const survey = { ...both, logs: [both.logs[0]], log: both.log.fill(0) };
    const { said } = runOnSurvey(crossLines, survey);
    expect(said.find(({ code }) => code === 'soundings/cross-offset')?.message).toContain(
      'the passes of 2023-11-1',
    );
  });

  // IHO S-44 Edition 6.1.0 (2022): total vertical uncertainty limits at 10 m.
  test.each([
    ['Order 2', 1.0261],
    ['Order 1a/1b', 0.5166],
    ['Special Order', 0.261],
    ['Exclusive Order', 0.1677],
  ] as const)('the vertical limit of %s at 10 m is that of the standard', (order, limit) => {
    expect(verticalLimit(order, 10)).toBeCloseTo(limit, 4);
    expect(orderKept(limit * Math.SQRT2 * 0.999, 10)).toBe(order);
  });
});

describe('duplicates', () => {
  const log = lawnmower({ bearing: 0, file: 'a.csv' });

  test('C41 the same log given twice is used once', () => {
    const survey = makeSurvey([log, { ...log, file: 'copy.csv' }]);
    const { change, said } = runOnSurvey(duplicates, survey);
    expect(Array.from(change.dropped![0].rows)).toEqual(
      Array.from({ length: log.count }, (_, i) => log.count + i),
    );
    expect(said[0].message).toContain('copy.csv that are in a.csv as well');
  });

  test('C41 without times the same log given twice is used once', () => {
    const untimed = { ...log, time: new Float64Array(log.count).fill(Number.NaN) };
    const survey = makeSurvey([untimed, { ...untimed, file: 'copy.csv' }]);
    expect(runOnSurvey(duplicates, survey).change.dropped![0].rows).toHaveLength(log.count);
  });

  test('C41 where rotated logs overlap, the common part is used once though its blocks begin elsewhere', () => {
    const rows = straightRun({ count: 2000, depth: (_, east, north) => bottom(east, north) });
    const first = reduced(makeLog(rows.slice(0, 1200), 45, -93, 'a.csv'));
    const second = reduced(makeLog(rows.slice(803), 45, -93, 'b.csv'));
    const survey = makeSurvey([first, second]);
    const dropped = runOnSurvey(duplicates, survey).change.dropped![0].rows;
    const common = second.time.filter((t) => t <= first.time[first.count - 1]).length;
    expect(Math.abs(dropped.length - common)).toBeLessThanOrEqual(1);
  });

  test('C41 two boats at the same time are no duplicates', () => {
    const other = lawnmower({ bearing: 90, file: 'b.csv' });
    expect(runOnSurvey(duplicates, makeSurvey([log, other])).change.dropped![0].rows).toHaveLength(0);
  });

  test('P25 two sonars on one boat with different depths are no duplicates', () => {
    const other = { ...log, file: 'b.csv', depth: log.depth.map((depth) => depth + 0.5) };
    expect(runOnSurvey(duplicates, makeSurvey([log, other])).change.dropped![0].rows).toHaveLength(0);
  });
});

describe('far-logs', () => {
  test('P14 a log far from every waypoint is named', () => {
    const survey = makeSurvey([lawnmower({ bearing: 0 })]);
    const far = runOnSurvey(farLogs, survey, {}, [makeWaypoint('A', 46.5, -93)]);
    expect(far.said[0].message).toContain('167\u00a0km from the nearest waypoint');
    expect(runOnSurvey(farLogs, survey, {}, [makeWaypoint('A', 45.2, -93)]).said).toEqual([]);
    expect(runOnSurvey(farLogs, survey, {}, []).said).toEqual([]);
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

  test('depth today is depth measured plus level today less level then', () => {
    const { change, codes } = runOnSurvey(waterLevel, survey, { levels, date: '2024-05-03' });
    const depth = Array.from(change.columns!.depth!);
    expect(depth[0]).toBeCloseTo(5 + 100.1 - 100.2, 5);
    expect(depth[1]).toBeCloseTo(5 + 100.1 - 100.5, 5);
    expect(change.columns!.shallowest![1]).toBeCloseTo(4.6, 5);
    expect(depth[2]).toBe(5);
    expect(codes).toEqual(['water-level', 'level-unknown']);
  });

  test('the level on the day of the plan can be given', () => {
    const { change } = runOnSurvey(waterLevel, survey, { levels, today: 101.2, date: '2024-05-09' });
    expect(change.columns!.depth![0]).toBeCloseTo(6, 5);
  });

  test('without readings soundings are on the datum, and the level of the plan is added', () => {
    const { change } = runOnSurvey(waterLevel, survey, { today: -0.4, date: '2024-05-09' });
    expect(Array.from(change.columns!.depth!)).toEqual([4.6, 4.6, 4.6].map((d) => expect.closeTo(d, 5)));
  });

  test('a level above the sea given without readings is doubted: it would go on top of every depth', () => {
    const { codes, said } = runOnSurvey(waterLevel, survey, { today: 184.5, date: '2024-05-09' });
    expect(codes).toContain('level-far');
    expect(said.find(({ code }) => code === 'soundings/level-far')?.severity).toBe('warning');
    expect(runOnSurvey(waterLevel, survey, { today: -4, date: '2024-05-09' }).codes).not.toContain(
      'level-far',
    );
  });

  test('days beyond the readings are used at the nearest, and said', () => {
    const late = makeSurvey([makeLog([[0, 0, 5, 1715083200]])]);
    const { codes, said } = runOnSurvey(waterLevel, late, { levels, date: '2024-05-20' });
    expect(codes).toEqual(['level-today', 'water-level', 'level-outside']);
    expect(said[2].message).toContain('4.0 days');
  });

  test('any datum will do: a shift of every reading changes nothing', () => {
    const shifted = levelsFile(
      'time,level_m\n2024-05-01T12:00Z,0.2\n2024-05-02T12:00Z,0.8\n2024-05-03,0.1\n',
    );
    const a = runOnSurvey(waterLevel, survey, { levels, date: '2024-05-03' }).change.columns!.depth!;
    const b = runOnSurvey(waterLevel, survey, { levels: shifted, date: '2024-05-03' }).change.columns!.depth!;
    expect(Array.from(a)).toEqual(Array.from(b, (d) => expect.closeTo(d, 5)));
  });

  test('readings in feet, unsorted, with offsets and dates alone are read', () => {
    const { levels: read, problems } = readLevels(
      levelsFile('date,level_ft\n2024-05-02,10\n2024-05-01T07:00-05:00,9.5\n'),
    );
    expect(problems).toEqual([]);
    expect(read.time).toEqual([1714564800, 1714651200]);
    expect(read.level[1]).toBeCloseTo(3.048, 6);
    expect(levelAt(read, 1714608000)).toEqual({ level: expect.closeTo(9.75 * 0.3048, 6), outside: 0 });
  });

  test.each([
    ['time,level_m\n2024-05-01,ten\n', '"ten"'],
    ['time,level_m\n2024-02-30,10\n', '"2024-02-30"'],
    ['time,level_m\n05/01/2024,10\n', '"05/01/2024"'],
    ['time,level\n2024-05-01,10\n', 'level_m or level_ft'],
    ['time,level_m\n', 'no readings'],
  ])('a reading that cannot be understood is refused with its line: %j', (text, quoted) => {
    const { problems } = readLevels(levelsFile(text));
    expect(problems[0].severity).toBe('error');
    expect(problems[0].message).toContain(quoted);
    expect(problems[0].place?.file).toBe('levels.csv');
  });

  test.each(['2024-02-30', '2024-13-01', '2024-05-01T24:00', '1e3', ''])('%j is no reading time', (text) => {
    expect(parseReadingTime(text)).toBeNaN();
  });
});
