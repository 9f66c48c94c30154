import { describe, expect, test } from 'vitest';
import { ties } from '../../plugins/ties.ts';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import { inUnits } from '../../shared/contract/lengths.ts';
import type { SoundingLog, Survey } from '../../shared/contract/soundings.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { indexSurvey } from '../../shared/survey/survey-index.ts';
import { accountOf } from '../../shared/survey/ties/account.ts';
import { untiedParts } from '../../shared/survey/ties/parts.ts';
import { tieSd } from '../../shared/survey/ties/tie-sd.ts';
import { makeScene, surveyOf } from '../accuracy/survey-scenes.ts';
import { lawnmower } from './lawnmower.ts';
import { makeSurvey, makeWaypoint, runOnSurvey } from './make-log.ts';

/** 2024-05-31 09:00 UTC, a Friday, s since 1970. */
const FRIDAY = Date.UTC(2024, 4, 31, 9) / 1000;
const DAY = 86_400;

/** Makes two files over one bottom, a day apart. The passes of the second cross those of the first. */
const twoDays = (change: Partial<Parameters<typeof lawnmower>[0]> = {}): Survey =>
  makeSurvey([
    lawnmower({ bearing: 0, file: 'a.csv', time: FRIDAY, count: 12 }),
    lawnmower({ bearing: 90, file: 'b.csv', time: FRIDAY + DAY, seed: 2, count: 10, ...change }),
  ]);

/** Returns the survey with its two files as one. */
function inOneFile(survey: Survey): Survey {
  const [{ firstTime }, { lastTime }] = survey.logs;
  return {
    ...survey,
    logs: [{ ...survey.logs[0], file: 'all.csv', firstTime, lastTime }],
    log: survey.log.map(() => 0),
  };
}

const textOf = (said: readonly Diagnostic[], code: string): string | undefined =>
  said.filter((each) => each.code === `soundings/${code}`).map(({ message }) => inUnits(message, 'm'))[0];

/** Returns the root mean square difference from the depths of another survey, m. */
const rmsTo = (depth: Float32Array, survey: Survey): number =>
  Math.sqrt(depth.reduce((sum, own, i) => sum + (own - survey.depth[i]) ** 2, 0) / depth.length);

/** Multiplies the depths of a range of rows by a factor. `from` and `to` are shares of all rows. */
function scaled(survey: Survey, factor: number, from: number, to: number): Survey {
  const depth = survey.depth.map((own, i) =>
    i >= from * survey.count && i < to * survey.count ? own * factor : own,
  );
  return { ...survey, depth, shallowest: depth };
}

const oneLog = (log: SoundingLog): Survey => makeSurvey([log]);
const FEET = 1 / 0.3048;

describe('ties of files and days', () => {
  test('files that agree give no warning', () => {
    expect(runOnSurvey(ties, twoDays()).said.filter(({ severity }) => severity !== 'note')).toEqual([]);
  });

  test('an offset of a file is found to 5 cm and corrected, and half of it becomes the uncertainty of its soundings', () => {
    const survey = twoDays({ offset: 0.6 });
    const { change, said } = runOnSurvey(ties, survey);
    expect(textOf(said, 'cross-offset')).toMatch(
      /^Depths may be off by 0\.(2[89]|3[0-2]) m: b\.csv reads 0\.(5[5-9]|6[0-5]) m deeper than the other passes over the same bottom\. Its depths were changed to match the others\. Another water level.* would explain this.*\. Nothing here shows which depths are right\. If the water level changed, --levels needs readings from both times\.$/,
    );
    expect(rmsTo(change.columns!.depth!, twoDays())).toBeLessThan(0.05);
    const { tieError } = change.columns!;
    expect(tieError![survey.count - 1]).toBeCloseTo(0.3, 1);
    const moved = { ...survey, ...change.columns };
    expect(tieSd(moved, indexSurvey(moved), 45, -93)).toBeCloseTo(0.3, 1);
    expect(tieSd(survey, indexSurvey(survey), 45, -93)).toBe(0);
  });

  test('days of one file are compared too, and called by their dates', () => {
    const survey = inOneFile(twoDays({ offset: 0.9 }));
    expect(textOf(runOnSurvey(ties, survey).said, 'cross-offset')).toMatch(
      /^Depths may be off by 0\.4[3-7] m: Saturday's passes read 0\.(8[5-9]|9[0-5]) m deeper than Friday's over the same bottom\. Their depths were changed to match Friday's\. /,
    );
  });

  test('a file far from every waypoint is named', () => {
    const survey = oneLog(lawnmower({ bearing: 0 }));
    const far = runOnSurvey(ties, survey, {}, [makeWaypoint('A', 46.5, -93)]).said;
    expect(textOf(far, 'no-overlap')).toBe(
      'made.csv is 167 km from the nearest waypoint: it is probably not from the same lake. Check that logs and waypoints belong together.',
    );
    const east = { ...survey, lon: survey.lon.map((lon) => lon + 60) };
    const swapped = runOnSurvey(ties, east, {}, [makeWaypoint('A', -33, 45)]).said;
    expect(textOf(swapped, 'no-overlap')).toMatch(
      /: latitude and longitude look swapped\. Export the log again, or, if its columns are named lat and lon, add --map lat=lon,lon=lat\.$/,
    );
    const near = runOnSurvey(ties, survey, {}, [makeWaypoint('A', 45.2, -93)]).said;
    expect(textOf(near, 'no-overlap')).toBeUndefined();
  });
});

describe('units', () => {
  // Factors from the definitions of the international foot (1959) and the fathom of 6 ft.
  test.each([
    [
      'm',
      FEET,
      'b.csv reads 3.28 times deeper than the other passes over the same bottom, because the depths are in feet, not meters. They are now read as feet. Check one depth you know.',
    ],
    [
      'm',
      1 / 1.8288,
      'b.csv reads 1.83 times shallower than the other passes over the same bottom, because the depths are in fathoms, not meters. They are now read as fathoms. Check one depth you know.',
    ],
    [
      'ft',
      0.3048,
      'b.csv reads 3.28 times shallower than the other passes over the same bottom, because the depths are in meters, not feet. They are now read as meters. Check one depth you know.',
    ],
  ] as const)(
    'a whole file read in %s, with depths %f times the true ones, is recognized and converted',
    (depthUnit, factor, words) => {
      const made = twoDays({ factor });
      const survey = { ...made, logs: [made.logs[0], { ...made.logs[1], depthUnit }] };
      const { change, said } = runOnSurvey(ties, survey);
      expect(textOf(said, 'unit-mismatch')).toBe(words);
      expect(rmsTo(change.columns!.depth!, twoDays())).toBeLessThan(0.06);
    },
  );

  test('with a different water level too, the unit is recognized, and the level is reported as an offset', () => {
    const { said, change } = runOnSurvey(ties, twoDays({ factor: FEET, offset: 0.9 }));
    expect(textOf(said, 'unit-mismatch')).toContain('the depths are in feet');
    expect(textOf(said, 'cross-offset')).toContain('b.csv reads 0.9');
    expect(rmsTo(change.columns!.depth!, twoDays())).toBeLessThan(0.1);
  });

  test('of two files, the one that could be in another unit is wrong, even if it is the larger', () => {
    const made = makeSurvey([
      lawnmower({ bearing: 0, file: 'a.csv', time: FRIDAY, count: 6 }),
      lawnmower({ bearing: 90, file: 'b.csv', time: FRIDAY + DAY, seed: 2, count: 12, factor: FEET }),
    ]);
    expect(textOf(runOnSurvey(ties, made).said, 'unit-mismatch')).toMatch(/^b\.csv reads 3\.28 times deeper/);
  });

  test('a stretch between two steps is recognized and converted; rows with mixed units are dropped', () => {
    const clean = oneLog(lawnmower({ bearing: 0, file: 'a.csv', count: 12 }));
    // The stretch begins in the sixth pass and ends in the eighth.
    const survey = scaled(clean, FEET, 5.5 / 12, 7.5 / 12);
    const { said, change } = runOnSurvey(ties, survey);
    expect(textOf(said, 'unit-mismatch')).toMatch(
      /^Rows 2,\d{3} to [23],\d{3} of a\.csv are now read as feet, and the rest as meters: from one row to the next the depths change by the ratio of these units\. Check one depth you know\.$/,
    );
    expect(rmsTo(change.columns!.depth!, clean)).toBeLessThan(0.01);
    expect(change.dropped!.find(({ reason }) => reason === 'soundings/mixed-units')!.rows).toHaveLength(2);
  });

  test('passes in feet with no visible beginning or end make the file unusable', () => {
    // Passes are 60 m apart: from the end of one to the start of the next the bottom may change.
    const survey = surveyOf(makeScene(12), {
      name: 'lanes in feet',
      change: (row, { pass }) => (pass >= 3 && pass < 6 ? { ...row, depth: row.depth * FEET } : row),
    });
    const { said, change } = runOnSurvey(ties, survey);
    // Nothing more is said of passes that are not used.
    expect(said.map(({ code }) => code)).toEqual(['soundings/unit-change']);
    const refused = said.find(({ code }) => code === 'soundings/unit-change');
    expect(refused?.severity).toBe('error');
    expect(refused?.message).toMatch(
      /^None of a\.csv is used: from about row [\d,]+ to row [\d,]+ the depths are in feet, elsewhere in meters\. Split the file there, or leave the file out\.$/,
    );
    const { rows } = change.dropped!.find(({ reason }) => reason === 'soundings/unit-change')!;
    expect(rows).toHaveLength(survey.count);
  });
});

describe('latency, drift, shifted positions and every other pass', () => {
  const across = (lags: readonly number[]): Survey =>
    makeSurvey(
      lags.map((lagSeconds, k) =>
        lawnmower({
          bearing: [0, 90, 40][k],
          file: `${'abc'[k]}.csv`,
          time: FRIDAY + 5000 * k,
          lagSeconds,
          seed: k + 1,
          count: 12,
        }),
      ),
    );
  const movedBy = (survey: Survey, columns: Partial<Survey>, log: number): number => {
    const row = survey.log.indexOf(log) + 20;
    const [east, north] = localFrame(survey.lat[row], survey.lon[row]).toLocal(
      columns.lat![row],
      columns.lon![row],
    );
    return Math.hypot(east, north);
  };

  test('a latency of 1.2 s at 2.5 m/s is named, and positions are moved by 3 m only when asked', () => {
    const survey = across([1.2, 1.2]);
    const silent = runOnSurvey(ties, survey);
    expect(textOf(silent.said, 'lag')).toMatch(
      /^Depths are off by about 0\.\d\d m: passes down a slope and passes up it read differently\. The likely cause is positions that are 1\.[123] s late \(give or take 0\.\d s\)\. Add --ties\.correct-lag to correct the positions; it has no effect together with --ties\.lag\.$/,
    );
    expect(silent.change.columns!.lat).toBeUndefined();
    const asked = runOnSurvey(ties, survey, { correctLag: true });
    expect(movedBy(survey, asked.change.columns!, 0)).toBeGreaterThan(2.6);
    expect(movedBy(survey, asked.change.columns!, 0)).toBeLessThan(3.4);
    expect(textOf(asked.said, 'lag')).toMatch(
      /^Positions are moved along the track, as asked: .* 1\.[123]\d s late\.$/,
    );
  });

  test('a given latency is used', () => {
    const survey = across([1.2, 1.2]);
    const { change } = runOnSurvey(ties, survey, { lag: 1.2 });
    expect(movedBy(survey, change.columns!, 1)).toBeCloseTo(3, 1);
  });

  test('a log is moved by its own latency, and other logs are not', () => {
    const survey = across([1.2, 0, 1.2]);
    const { change } = runOnSurvey(ties, survey, { correctLag: true });
    expect(movedBy(survey, change.columns!, 0)).toBeCloseTo(3, 0);
    expect(change.columns!.lat === undefined ? 0 : movedBy(survey, change.columns!, 1)).toBeLessThan(0.6);
  });

  test('a falling water level in a log crossed at its end is named, and removed when asked', () => {
    const made = inOneFile(
      makeSurvey([
        lawnmower({ bearing: 0, time: FRIDAY, count: 12 }),
        lawnmower({ bearing: 90, time: FRIDAY + 1700, count: 12, seed: 2 }),
      ]),
    );
    const depth = made.depth.map((own, i) => own - (0.6 * (made.time[i] - FRIDAY)) / 3400);
    const survey = { ...made, depth, shallowest: depth };
    const { said, change } = runOnSurvey(ties, survey);
    expect(textOf(said, 'drift')).toMatch(
      /^Depths may be off by 0\.(2[5-9]|3[0-4]) m: the same bottom reads 0\.[56]\d m shallower at the end of all\.csv than at the start\. If the water was falling, --levels needs readings from the start and the end of the log\.$/,
    );
    expect(change.columns!.depth).toBeUndefined();
    expect(change.columns!.tieError![0]).toBeCloseTo(0.3, 1);
    const asked = runOnSurvey(ties, survey, { correctDrift: true });
    const level =
      asked.change.columns!.depth!.reduce((sum, own, i) => sum + own - made.depth[i], 0) / made.count;
    const even = asked.change.columns!.depth!.map((own) => own - level);
    expect(rmsTo(even, made)).toBeLessThan(0.06);
  });

  test('shifted positions of a file are told from an offset where the bottom curves', () => {
    const moved = twoDays();
    const [, b] = [0, moved.log.indexOf(1)];
    const lon = moved.lon.map((own, i) => (i >= b ? own + 12 / 78_847 : own));
    const survey = { ...moved, lon };
    const { said } = runOnSurvey(ties, survey);
    expect(textOf(said, 'shift')).toMatch(
      /^[ab]\.csv does not agree with the other passes: its positions are about 1\d m off, or its depths \d\.\d\d m\. Wrong positions are more likely\. Add --ties\.correct-shift to move the positions back\.$/,
    );
    const asked = runOnSurvey(ties, survey, { correctShift: true });
    expect(textOf(asked.said, 'shift')).toMatch(
      /^Positions of [ab]\.csv are moved back by 1\d m, as asked\.$/,
    );
    expect(asked.said.filter(({ severity }) => severity === 'warning')).toEqual([]);
  });

  test('an offset of every other pass is named, with other causes that would look the same', () => {
    const clean = oneLog(lawnmower({ bearing: 0, file: 'a.csv', count: 16, spacing: 8 }));
    const depth = clean.depth.map((own, i) => own + (clean.pass[i] % 2 === 1 ? 0.5 : 0));
    const { said, change } = runOnSurvey(ties, { ...clean, depth, shallowest: depth });
    expect(textOf(said, 'heading')).toMatch(
      /^Depths may be off by 0\.2\d m: passes one way read 0\.(4[5-9]|5[0-5]) m deeper than passes the other way in a\.csv\. Late positions or two sonars in one log would explain this\. Check the clock of the sonar, and which sonars wrote the log\.$/,
    );
    expect(change.columns!.depth).toBeUndefined();
  });
});

describe('logs without ties', () => {
  test('two files side by side are named with the one pass that would tie them', () => {
    const second = lawnmower({ bearing: 0, file: 'b.csv', time: FRIDAY + DAY, seed: 2 });
    const survey = makeSurvey([
      lawnmower({ bearing: 0, file: 'a.csv', time: FRIDAY }),
      { ...second, lon: second.lon.map((lon) => lon + 0.006) },
    ]);
    const [untied] = untiedParts(accountOf(survey).work);
    expect(untied.isApart).toBe(true);
    const frame = localFrame(45, -93);
    const [from, to] = [untied.pass.from, untied.pass.to].map(([lon, lat]) => frame.toLocal(lat, lon)[0]);
    const [west, east] = from < to ? [from, to] : [to, from];
    expect(west).toBeLessThan(60);
    expect(east).toBeGreaterThan(0.006 * 78_847 - 60);
    expect(textOf(runOnSurvey(ties, survey).said, 'untied')).toMatch(
      /^A change of water level between (Friday and Saturday|Saturday and Friday) would not show: no pass crosses from one to the other\. Run one pass from 4\d\.\d{5}, -9\d\.\d{5} to 4\d\.\d{5}, -9\d\.\d{5}, \d{3} m long\. downslope check --passes FILE\.gpx writes the pass as a route\.$/,
    );
  });

  test('a log with swapped positions gets a setting of its own, and no pass to it is proposed', () => {
    const survey = makeSurvey([
      lawnmower({ bearing: 0, file: 'a.csv', time: FRIDAY }),
      lawnmower({ bearing: 0, file: 'b.csv', time: FRIDAY + DAY, seed: 2 }),
    ]);
    const isSwapped = (row: number): boolean => survey.log[row] === 1;
    const east = survey.lon.map((lon) => lon + 60);
    const swapped = {
      ...survey,
      lat: survey.lat.map((lat, row) => (isSwapped(row) ? east[row] : lat)),
      lon: east.map((lon, row) => (isSwapped(row) ? survey.lat[row] : lon)),
    };
    const { said } = runOnSurvey(ties, swapped, {}, [makeWaypoint('A', 45, -33)]);
    expect(textOf(said, 'no-overlap')).toMatch(/^b\.csv is .* put "map: lat=lon,lon=lat" in b\.csv\.yaml\.$/);
    expect(textOf(said, 'untied')).toBeUndefined();
  });

  test('a grid of passes is tied', () => {
    expect(untiedParts(accountOf(twoDays()).work)).toEqual([]);
  });
});

describe('contradicted stretches', () => {
  test('weed under two passes makes depths uncertain there and nowhere else', () => {
    const clean = twoDays();
    const frame = localFrame(45, -93);
    const isWeed = (i: number): boolean => {
      const [east, north] = frame.toLocal(clean.lat[i], clean.lon[i]);
      return clean.log[i] === 0 && Math.abs(east) < 25 && Math.abs(north) < 30;
    };
    const depth = clean.depth.map((own, i) => (isWeed(i) ? own - 2 : own));
    const { change } = runOnSurvey(ties, { ...clean, depth, shallowest: depth });
    const survey = { ...clean, depth, shallowest: depth, ...change.columns };
    const index = indexSurvey(survey);
    expect(tieSd(survey, index, 45, -93)).toBeGreaterThan(0.6);
    const [lat, lon] = frame.toGeographic(0, 85);
    expect(tieSd(survey, index, lat, lon)).toBe(0);
  });
});

test('no soundings, one, or soundings all at one place are not enough to judge a survey', () => {
  const log = lawnmower({ bearing: 0 });
  const first = (count: number): SoundingLog => ({
    ...log,
    count,
    lat: new Float64Array(count).fill(45),
    lon: new Float64Array(count).fill(-93),
    depth: log.depth.slice(0, count),
    time: log.time.slice(0, count),
    pass: log.pass.slice(0, count),
    weight: log.weight.slice(0, count),
    shallowest: log.shallowest.slice(0, count),
  });
  for (const count of [0, 1, 2, 50]) expect(runOnSurvey(ties, oneLog(first(count))).said).toEqual([]);
});
