import { expect, test } from 'vitest';
import type { Diagnostic, EnrichedWaypoint, Waypoint } from '../../shared/contract/index.ts';
import type { Pipeline } from '../../shared/engine/index.ts';
import { reportDepthUnit, reportFarInputs } from '../../src/engine/suspect-inputs.ts';

const mark = (name: string, lat: number, lon: number): Waypoint =>
  ({ file: 'marks.gpx', line: 3, name, lat, lon }) as Waypoint;
const LAKE = ['A', 'B', 'C'].map((name, i) => mark(name, 36.9 + i / 100, -78.9));

/** Returns a pipeline whose only option is a zone, a triangle with a corner at this position. */
const pipelineWith = (lon: number, lat: number): Pipeline =>
  ({
    waypoint: [
      {
        options: {
          zones: {
            file: 'zones.geojson',
            value: {
              type: 'Feature',
              properties: { rule: 'closed', name: 'Dam' },
              geometry: {
                type: 'Polygon',
                coordinates: [
                  [
                    [lon, lat],
                    [lon + 0.01, lat],
                    [lon + 0.01, lat + 0.01],
                    [lon, lat],
                  ],
                ],
              },
            },
          },
        },
      },
    ],
    plan: [],
  }) as unknown as Pipeline;

function said(waypoints: readonly Waypoint[], pipeline: Pipeline = pipelineWith(-78.9, 36.9)): Diagnostic[] {
  const found: Diagnostic[] = [];
  reportFarInputs(pipeline, waypoints, (diagnostic) => found.push(diagnostic));
  return found;
}

test('marks and zones of one lake raise no message', () => {
  expect(said(LAKE)).toEqual([]);
  expect(said([])).toEqual([]);
});

test('with marks of three lakes, the marks of the first are not called all others', () => {
  const [first, second] = said([...LAKE, mark('X', 45, -93), mark('Y', 50, -93)]);
  for (const { message } of [first, second]) expect(message).toContain(`km from ${LAKE.length} other marks.`);
});

test('marks on another lake are reported once, with a hint if coordinates look swapped', () => {
  const [away] = said([...LAKE, mark('X', 45, -93), mark('Y', 45.01, -93)]);
  expect(away).toMatchObject({ severity: 'note', code: 'gpx/marks-apart', count: 2 });
  const [swapped] = said([...LAKE, mark('X', -78.9, 36.9)]);
  expect(swapped.severity).toBe('warning');
  expect(swapped.message).toContain('Latitude and longitude look swapped');
});

test('zones far from every mark are reported, with a hint if coordinates look swapped', () => {
  expect(said(LAKE, pipelineWith(-93, 45))[0].message).toMatch(
    /^The zone has no effect: it is .* is of the same lake/,
  );
  expect(said(LAKE, pipelineWith(36.9, -78.9))[0].message).toContain('Latitude and longitude look swapped');
});

test('a file without zones is reported once, with or without marks', () => {
  const zones = { file: 'z.geojson', value: { type: 'FeatureCollection', features: [] } };
  const steps = [{ options: { zones } }, { options: { zones } }];
  const pipeline = { waypoint: steps, plan: [] } as unknown as Pipeline;
  for (const marks of [LAKE, []])
    expect(said(marks, pipeline).map(({ code }) => code)).toEqual(['zones/no-zones']);
});

test.each([
  [3.3, ['ft']],
  [0.3, ['m']],
  [1.02, []],
  [2.2, []],
])(
  'for logs with %d times the depth of the marks, another unit is suggested if it explains the ratio',
  (factor, units) => {
    const found: Diagnostic[] = [];
    const waypoints = [4, 6, 8, 9].map((depth, i) => ({
      waypoint: mark(`M${i}`, 36.9, -78.9),
      fields: { mark_depth: depth, pass_depth: depth * factor },
      diagnostics: [],
    }));
    reportDepthUnit(waypoints as unknown as EnrichedWaypoint[], (diagnostic) => found.push(diagnostic));
    expect(found.map(({ values }) => values?.unit)).toEqual(units);
  },
);
