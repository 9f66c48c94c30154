import { describe, expect, test } from 'vitest';
import { geodesicInverse } from '../../shared/geo/geodesic.ts';
import { coverageAt } from '../../shared/survey/coverage.ts';
import { proposePasses } from '../../shared/survey/proposed-passes.ts';
import { fromBuffers, indexBuffers, indexSurvey } from '../../shared/survey/survey-index.ts';
import { checkReport } from '../../src/engine/check-report.ts';
import { geodesicDestination } from '../geo/geodesic-destination.ts';
import { makeLog, makeSurvey, makeWaypoint, straightRun } from './make-log.ts';

/** Makes places scattered within 300 m of a place. */
function scatter(lat: number, lon: number, count = 400) {
  const places = Array.from({ length: count }, (_, i) =>
    geodesicDestination(lat, lon, (i * 137.5) % 360, (i % 100) * 3),
  );
  return {
    count,
    lat: Float64Array.from(places, (place) => place[0]),
    lon: Float64Array.from(places, (place) => place[1]),
  };
}

describe('the index of soundings', () => {
  // Compared with GeographicLib distances to every sounding.
  test.each([
    [45, -93],
    [0, 0],
    [-45, 179.9999],
    [60, -180],
    [89.9995, 12],
    [-90, 0],
    [90, 77],
  ])('finds exactly the soundings within a radius at %f, %f', (lat, lon) => {
    const survey = scatter(lat, lon);
    const index = indexSurvey(survey);
    for (const radius of [0.5, 25, 100, 250]) {
      const expected = Array.from({ length: survey.count }, (_, i) => i).filter(
        (i) => geodesicInverse(lat, lon, survey.lat[i], survey.lon[i]).distance <= radius,
      );
      expect(index.within(lat, lon, radius)).toEqual(expected);
      expect(index.within(lat, lon + 360, radius)).toEqual(expected);
    }
  });

  test('finds the same soundings when lakes are too far apart for one grid', () => {
    const [one, other] = [scatter(45, -93), scatter(-33, 151)];
    const both = {
      count: one.count + other.count,
      lat: Float64Array.of(...one.lat, ...other.lat),
      lon: Float64Array.of(...one.lon, ...other.lon),
    };
    const index = indexSurvey(both);
    for (const radius of [25, 100, 250]) {
      expect(index.within(45, -93, radius)).toEqual(indexSurvey(one).within(45, -93, radius));
      const later = indexSurvey(other)
        .within(-33, 151, radius)
        .map((row) => row + one.count);
      expect(index.within(-33, 151, radius)).toEqual(later);
    }
  });

  test('finds nothing in an empty survey, and the same soundings when opened from shared memory', () => {
    const empty = { count: 0, lat: new Float64Array(0), lon: new Float64Array(0) };
    expect(indexSurvey(empty).within(45, -93, 1000)).toEqual([]);
    const survey = scatter(45, -93);
    const buffers = indexBuffers(survey);
    expect(buffers.tree).toBeInstanceOf(SharedArrayBuffer);
    expect(fromBuffers(structuredClone(buffers)).within(45, -93, 80)).toEqual(
      indexSurvey(survey).within(45, -93, 80),
    );
  });
});

const pass = (north: number, east = -100, count = 80) =>
  straightRun({
    count,
    step: 2.5,
    east,
    north,
    bearing: 90,
    depth: () => 5,
    time: 1.7e9 + (north + 1000) * 300,
  });

/** Makes a survey of eastward passes at the given northings. */
function surveyOf(norths: readonly number[], east = -100) {
  const rows = norths.map((north) => pass(north, east));
  const log = makeLog(rows.flat());
  const numbers = Int32Array.from(rows.flatMap((row, i) => row.map(() => i)));
  const survey = makeSurvey([{ ...log, pass: numbers }]);
  return { survey, index: indexSurvey(survey) };
}

describe('coverage of a waypoint', () => {
  test.each([
    ['good', [-75, -45, -15, 15, 45, 75], -100],
    ['sparse', [-82, -27, 27, 82], -100],
    ['one-pass', [2], -100],
    ['one-pass', [20, 40], -100],
    ['edge', [10, 30, 50], -100],
    ['edge', [-45, -15, 15, 45], 5],
    ['none', [200], -100],
  ] as const)('is %s with passes at %j m', (word, norths, east) => {
    const { survey, index } = surveyOf(norths, east);
    expect(coverageAt(survey, index, 45, -93).word).toBe(word);
  });

  test('the proposed passes put soundings on every side of a weak mark, and bring passes closer together', () => {
    for (const norths of [[2], [20, 40], [10, 30, 50], [-82, -27, 27, 82], [200]]) {
      const { survey, index } = surveyOf(norths);
      const before = coverageAt(survey, index, 45, -93);
      const lines = proposePasses(45, -93, before);
      expect(lines.length).toBeGreaterThan(0);
      expect(lines.length).toBeLessThanOrEqual(2);
      const added = lines.map(({ from, bearing, length }, k) => {
        const places = Array.from({ length: Math.floor(length / 2.5) }, (_, i) =>
          geodesicDestination(from[1], from[0], bearing, i * 2.5),
        );
        const log = makeLog(places.map(() => [0, 0, 5] as const));
        return {
          ...log,
          lat: Float64Array.from(places, (place) => place[0]),
          lon: Float64Array.from(places, (place) => place[1]),
          pass: new Int32Array(places.length).fill(k),
        };
      });
      const base = makeLog(norths.flatMap((north) => pass(north)));
      const numbered = { ...base, pass: Int32Array.from(norths.flatMap((_, i) => new Array(80).fill(i))) };
      const after = makeSurvey([numbered, ...added]);
      const now = coverageAt(after, indexSurvey(after), 45, -93);
      expect(['good', 'sparse']).toContain(now.word);
      expect(now.emptyWidth).toBeLessThan(100);
      expect(now.spacing).toBeLessThan(0.8 * Math.min(before.spacing, 150));
    }
  });

  test('a mark with good coverage needs no passes', () => {
    const { survey, index } = surveyOf([-75, -45, -15, 15, 45, 75]);
    expect(proposePasses(45, -93, coverageAt(survey, index, 45, -93))).toEqual([]);
  });
});

describe('the check report', () => {
  test('says what was read and dropped, how well passes agree, and which passes to run', () => {
    const { survey } = surveyOf([2]);
    const logs = [
      { ...survey.logs[0], account: { read: 90, used: 80, dropped: { 'soundings/lost-bottom': 10 } } },
    ];
    const waypoints = [makeWaypoint('Hump & <co> é', 45, -93), makeWaypoint('Far', 46, -93, 1)];
    const report = checkReport({
      survey: { ...survey, logs },
      waypoints,
      diagnostics: [],
      units: 'ft',
      date: '2026-06-01',
    });
    expect(report.text).toContain('made.csv: 90 rows read, 80 used, 10 dropped\n    10 lost bottom');
    expect(report.text).toContain('Crossings: none found');
    expect(report.text).toContain('Waypoints: 2, 0 well covered');
    expect(report.passes.map(({ waypoint, reason }) => [waypoint?.name, reason])).toEqual([
      ['Far', 'no sonar'],
      ['Far', 'no sonar'],
      ['Hump & <co> é', 'one pass only'],
      ['Hump & <co> é', 'one pass only'],
    ]);
    expect(report.routes.match(/<rte>/g)).toHaveLength(4);
    expect(report.routes).toContain('<name>Hump &amp; &lt;co&gt; &#233; P1</name>');
  });

  test('begins with what is wrong, one sentence a file, worst first', () => {
    const { survey } = surveyOf([-75, -45, -15, 15, 45, 75]);
    const about = (file: string, code: string, message: string) =>
      ({ severity: 'warning', code: `soundings/${code}`, message, place: { file } }) as const;
    const logs = ['a.csv', 'b.csv', 'c.csv'].map((file) => ({ ...survey.logs[0], file }));
    const { text } = checkReport({
      survey: { ...survey, logs },
      waypoints: [],
      diagnostics: [
        about('a.csv', 'drift', 'The same bottom reads shallower at the end of a.csv.'),
        about('b.csv', 'lag', 'Late.'),
        about('b.csv', 'unit-mismatch', 'b.csv reads 3.28 times deeper.'),
      ],
      units: 'm',
      date: '2026-06-01',
    });
    expect(text.split('\n').slice(0, 4)).toEqual([
      'What is wrong:',
      '  b.csv reads 3.28 times deeper.',
      '  The same bottom reads shallower at the end of a.csv.',
      '  Nothing found wrong: c.csv',
    ]);
    expect(text.indexOf('What is wrong')).toBeLessThan(text.indexOf('Waypoints'));
    expect(text.indexOf('Waypoints')).toBeLessThan(text.indexOf('Logs:'));
  });

  test('thousands are grouped from the right', () => {
    const { survey } = surveyOf([2]);
    const logs = [{ ...survey.logs[0], account: { read: 1234567, used: 1234567, dropped: {} } }];
    const { text } = checkReport({
      survey: { ...survey, logs },
      waypoints: [],
      diagnostics: [],
      units: 'm',
      date: '2026-06-01',
    });
    expect(text).toContain('1,234,567 rows read');
  });
});
