import { describe, expect, test } from 'vitest';
import { makeLake } from '../../fixtures/lakes/lake.ts';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { bottom } from '../../plugins/bottom.ts';
import { structure } from '../../plugins/structure.ts';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import type { Survey } from '../../shared/contract/soundings.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { indexSurvey } from '../../shared/survey/survey-index.ts';
import { near } from './near.ts';

const lake = makeLake({ seed: 12, perWord: 1, family: 'a' });

/** Runs both plugins at each mark of the lake, with the origin of the lake at `lat`, `lon`. */
function runAt(lat: number, lon: number, single = false, declination?: number, isDry = false) {
  const frame = localFrame(lat, lon);
  return lake.marks.map((mark) => {
    const center = [mark.east, mark.north] as const;
    const local = simulateSurvey(lake, { seed: 3, spacing: 25, radius: 120, center, heading: 40, single });
    const columns = toSoundings(local, lat, lon);
    if (isDry) columns.depth.fill(0);
    const survey: Survey = { ...columns, logs: [], log: new Int32Array(columns.count) };
    const [markLat, markLon] = frame.toGeographic(mark.east, mark.north);
    const waypoint: Waypoint = {
      index: 0,
      file: 'a.gpx',
      fileIndex: 0,
      line: 1,
      lat: markLat,
      lon: markLon,
      name: mark.name,
      comment: '',
      description: '',
      symbol: '',
      type: '',
    };
    const said: Diagnostic[] = [];
    const context = { report: (d: Diagnostic) => said.push(d), progress: () => {}, isWanted: () => true };
    const input = {
      waypoint,
      waypoints: [waypoint],
      survey,
      index: indexSurvey(survey),
      fields: { declination },
    };
    const unseen = declination === undefined ? undefined : { factor: 1, size: 1, rate: 0.5 };
    const found = bottom.run(
      { ...input, unseen },
      { units: 'ft', levels: undefined, today: undefined, date: '2026-06-01' },
      context,
    );
    const named =
      found.bottom === undefined
        ? {}
        : structure.run({ ...input, fields: { bottom: found.bottom } }, { units: 'ft' }, context);
    return { mark, found, named, said };
  });
}

describe('plugins bottom and structure on a lake with known bottom', () => {
  const here = runAt(45, -80);

  test('depth is within 1 m of the true depth at the mark, and most words are right', () => {
    for (const { mark, found } of here) near(found.depth!, lake.depth(mark.east, mark.north), 1);
    const right = here.filter(({ mark, named }) => named.structure === mark.word).length;
    expect(right).toBeGreaterThanOrEqual(10);
  });

  test('results are the same across the 180th meridian and in the southern hemisphere', () => {
    const there = runAt(-38, 179.99);
    there.forEach(({ found, named }, i) => {
      near(found.depth!, here[i].found.depth!, 0.01);
      near(found.slope!, here[i].found.slope!, 0.05);
      expect(named.structure).toBe(here[i].named.structure);
    });
  });

  test('a single pass gives a depth but no slope or word, and says why', () => {
    for (const { found, named, said } of runAt(45, -80, true)) {
      expect(found.status).toBe('one-pass');
      expect(found.slope).toBeUndefined();
      expect(found.aspect).toBeUndefined();
      expect(Number.isFinite(found.depth)).toBe(true);
      expect(named.structure).toBeUndefined();
      expect(said.map((d) => d.code)).toEqual(['bottom/one-pass']);
    }
  });

  test('passes that are dry at the water level of the plan are not called missing', () => {
    for (const { found, said } of runAt(45, -80, false, undefined, true)) {
      expect(found.status).toBe('no-data');
      expect(said.map(({ code }) => code)).toEqual(['bottom/no-data']);
      expect(said[0].message).toContain('the bottom under your passes here is dry');
    }
  });

  test('the pass proposed over a mark has a magnetic bearing', () => {
    const bearings = (declination: number) =>
      runAt(45, -80, false, declination).flatMap(({ said }) =>
        said
          .filter(({ code }) => code === 'bottom/missed-form')
          .map(({ message }) => Number(/ along (\d{3})M\./.exec(message)?.[1])),
      );
    const [none, west] = [bearings(0), bearings(-10)];
    expect(none.length).toBeGreaterThan(5);
    expect(west).toEqual(none.map((bearing) => (bearing + 10) % 360));
  });

  test('every word comes with a reason in text', () => {
    for (const { named } of here) expect(named.structure_reason).toMatch(/^[a-z0-9][^;]+/);
  });
});
