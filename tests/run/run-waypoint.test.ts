import { describe, expect, test } from 'vitest';
import type { WaypointPlugin } from '../../shared/contract/plugin.ts';
import type { Survey } from '../../shared/contract/soundings.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import { runWaypoint } from '../../shared/engine/run-waypoint.ts';

const waypoint: Waypoint = {
  index: 0,
  file: 'marks.gpx',
  fileIndex: 0,
  line: 3,
  lat: 40,
  lon: -90,
  name: 'A1',
  comment: '',
  description: '',
  symbol: '',
  type: '',
};
const lake = {
  survey: { count: 0 } as unknown as Survey,
  index: { within: () => [] },
  waypoints: [waypoint],
};

const step = (name: string, provides: string[], run: () => unknown, requires: string[] = []) => ({
  plugin: {
    name,
    summary: 'A plugin.',
    stage: 'waypoint',
    options: {},
    requires,
    provides,
    run,
  } as unknown as WaypointPlugin,
  options: {},
});
const good = step('good', ['depth'], () => ({ depth: 5 }));

describe('plugins on one waypoint', () => {
  test.each([
    [
      'throws',
      step('bad', ['slope'], () => {
        throw new Error('no bottom');
      }),
      'plugin/threw',
    ],
    [
      'returns a field it does not provide',
      step('bad', ['slope'], () => ({ slope: 3, aspect: 10 })),
      'plugin/undeclared',
    ],
    ['returns NaN', step('bad', ['slope'], () => ({ slope: Number.NaN })), 'plugin/value'],
    ['returns text for a number', step('bad', ['slope'], () => ({ slope: '3' })), 'plugin/value'],
    ['returns an unknown word', step('bad', ['structure'], () => ({ structure: 'reef' })), 'plugin/value'],
  ])('a plugin that %s is named and loses its fields, and other plugins still run', (_, bad, code) => {
    const { fields, diagnostics } = runWaypoint(waypoint, lake, [bad, good]);
    expect(fields).toEqual({ depth: 5 });
    expect(diagnostics.map((diagnostic) => diagnostic.code)).toEqual([code]);
    expect(diagnostics[0].message).toContain('"bad"');
    expect(diagnostics[0].place).toMatchObject({ waypoint: 'A1' });
  });

  test('a plugin does not run on a waypoint without a field that it requires', () => {
    const needy = step('needy', ['slope'], () => ({ slope: 1 }), ['bottom']);
    expect(runWaypoint(waypoint, lake, [needy]).fields).toEqual({});
  });

  test('a skipped plugin is reported and does not run', () => {
    const why = { severity: 'error', code: 'plugin/hung', message: 'no answer' } as const;
    const { fields, diagnostics } = runWaypoint(waypoint, lake, [good], undefined, new Map([[0, why]]));
    expect(fields).toEqual({});
    expect(diagnostics[0].code).toBe('plugin/hung');
  });
});
