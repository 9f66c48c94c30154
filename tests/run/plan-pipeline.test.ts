import { describe, expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import type { WaypointPlugin } from '../../shared/contract/plugin.ts';
import { planPipeline } from '../../shared/engine/plan-pipeline.ts';

const plugin = (name: string, requires: string[], provides: string[], uses: string[] = []): WaypointPlugin =>
  ({
    name,
    summary: `Plugin ${name}.`,
    stage: 'waypoint',
    options: {},
    requires,
    uses,
    provides,
    run: () => ({}),
  }) as unknown as WaypointPlugin;

const refusal = (run: () => unknown): string => {
  try {
    run();
  } catch (cause) {
    if (cause instanceof Refusal) return cause.message;
    throw cause;
  }
  return 'planned';
};

const names = (plugins: WaypointPlugin[]): string[] =>
  planPipeline(plugins).waypoint.map(({ plugin: { name } }) => name);

describe('planning', () => {
  test('each plugin comes after the providers of the fields it requires or uses; ties keep the order given', () => {
    const casts = plugin('casts', ['bottom'], ['downslope'], ['declination']);
    const north = plugin('north', [], ['declination']);
    const floor = plugin('floor', [], ['bottom', 'depth']);
    expect(names([casts, north, floor])).toEqual(['north', 'floor', 'casts']);
    expect(names([floor, north, casts])).toEqual(['floor', 'north', 'casts']);
  });

  test('a field without a provider is named, with the plugin that would provide it', () => {
    const casts = plugin('casts', ['bottom'], ['downslope']);
    const floor = plugin('floor', [], ['bottom']);
    expect(refusal(() => planPipeline([casts], new Map(), [casts, floor]))).toBe(
      'error plan/missing-field: Plugin "casts" needs "bottom" from plugin "floor", which is not in this run. Keep "floor", or leave "casts" out too.',
    );
  });

  test('two providers of one field, a duplicate name, and a cycle are refused', () => {
    expect(refusal(() => planPipeline([plugin('a', [], ['depth']), plugin('b', [], ['depth'])]))).toContain(
      'plan/two-providers',
    );
    expect(refusal(() => planPipeline([plugin('a', [], ['depth']), plugin('a', [], ['slope'])]))).toContain(
      'plugin/twice',
    );
    expect(
      refusal(() => planPipeline([plugin('a', ['slope'], ['depth']), plugin('b', ['depth'], ['slope'])])),
    ).toContain('plan/cycle');
  });

  test('two plugins share a flag only when they define it identically', () => {
    const option = { kind: 'length', flag: 'draft', help: 'Draft.' } as const;
    const first = { ...plugin('a', [], []), options: { draft: option } };
    const second = { ...plugin('b', [], []), options: { depth: option } };
    expect(names([first, second])).toEqual(['a', 'b']);
    expect(refusal(() => planPipeline([first, { ...second, options: { depth: { ...option } } }]))).toContain(
      'option/flag-taken',
    );
  });

  test('options given replace defaults, and the others keep theirs', () => {
    const options = {
      radius: { kind: 'length', default: 5, help: 'Radius.' },
      limit: { kind: 'count', default: 3, help: 'Limit.' },
    } as const;
    const planned = planPipeline([{ ...plugin('a', [], []), options }], new Map([['a', { radius: 9 }]]));
    expect(planned.waypoint[0].options).toEqual({ radius: 9, limit: 3 });
  });

  test('fields of user plugins follow the built-in ones, under the name of their plugin', () => {
    const own = {
      ...plugin('mine', [], []),
      fields: { stars: { type: 'number', unit: 'count', decimals: 0, help: 'Stars.' } },
    } as WaypointPlugin;
    expect(
      planPipeline([own, plugin('floor', [], ['depth', 'bottom'])]).fields.map(([name]) => name),
    ).toEqual(['depth', 'mine.stars']);
  });
});
