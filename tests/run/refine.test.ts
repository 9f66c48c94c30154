import { describe, expect, test } from 'vitest';
import { inUnits } from '../../shared/contract/index.ts';
import { checkPluginShape } from '../../shared/engine/check-plugin.ts';
import { planPipeline } from '../../shared/engine/plan-pipeline.ts';
import { defineRefinePlugin, defineWaypointPlugin, type Plugin, Refusal } from '../../shared/index.ts';
import { madeLake, runPlugin, surveyOf } from '../../src/testing.ts';

const deeper = defineRefinePlugin({
  name: 'deeper',
  summary: 'Adds a foot to every depth.',
  stage: 'refine',
  options: {},
  requires: [],
  changes: ['depth'],
  run: ({ fields }) => ({ depth: (fields.depth ?? 0) + 0.3048 }),
});

const reader = defineWaypointPlugin({
  name: 'reader',
  summary: 'Says the depth again.',
  stage: 'waypoint',
  options: {},
  requires: ['depth'],
  provides: [],
  fields: { again: { type: 'number', unit: 'm', decimals: 4, help: 'Depth again.' } },
  run: ({ fields }) => ({ again: fields.depth }),
});

const messageOf = (work: () => unknown): string => {
  try {
    work();
    return '';
  } catch (cause) {
    if (!(cause instanceof Refusal)) throw cause;
    return cause.message;
  }
};

describe('a refiner', () => {
  test('changes a field after its provider, and both values are reported', async () => {
    const { spots, messages, faults } = await runPlugin(deeper);
    expect(faults).toEqual([]);
    const said = messages.find(({ code }) => code === 'plugin/refined');
    // The bottom is a straight ledge, 6.5 m deep at the mark.
    expect(said?.values?.before).toBeCloseTo(6.5, 1);
    expect(inUnits(said!.message, 'ft')).toMatch(/changed depth from 21\.\d ft to 22\.\d ft\.$/);
    expect(spots[0].fields.depth).toBeCloseTo(Number(said?.values?.before) + 0.3048, 9);
  });

  test('runs before plugins that read the field, and after refiners given before it', () => {
    const provider = { ...reader, name: 'floor', requires: [], provides: ['depth'], fields: {} };
    const second = { ...deeper, name: 'second' };
    const plugins = [reader, second, deeper, provider] as unknown as Plugin[];
    const { waypoint } = planPipeline(plugins);
    expect(waypoint.map(({ plugin }) => plugin.name)).toEqual(['floor', 'second', 'deeper', 'reader']);
  });

  test('is refused if no plugin provides the field', () => {
    expect(messageOf(() => planPipeline([deeper]))).toContain('needs "depth"');
  });
});

describe('a plugin that cannot be used is refused by name when it loads', () => {
  const withField = (field: object, name = 'again') =>
    messageOf(() =>
      checkPluginShape({ ...reader, fields: { [name]: { ...reader.fields?.again, ...field } } }, 'p'),
    );
  test.each([
    ['decimals', withField({ decimals: 9 }), 'decimals 9 for field "again"'],
    ['units', withField({ unit: 'feet' }), 'unit "feet" for field "again"'],
    ['units of text', withField({ type: 'text' }), 'unit "m" for field "again" of type text'],
    ['words', withField({ type: 'word', unit: 'none' }), 'without words, but needs a list of all values'],
    ['name', withField({}, 'Again'), 'field "Again"'],
  ])('a field with unusable %s', (_what, message, expected) => expect(message).toContain(expected));

  test('a column that would appear twice is refused', () => {
    const clash = {
      ...reader,
      name: 'depth',
      requires: [],
      fields: { sd: { type: 'number', unit: 'm', help: 'Spread.' } },
    };
    const provider = { ...reader, name: 'floor', requires: [], provides: ['depth_sd'], fields: {} };
    const plugins = [provider, clash] as unknown as Plugin[];
    expect(messageOf(() => planPipeline(plugins))).toContain('column "depth_sd_ft"');
  });
});

test('a plugin that throws is named with its file and line', async () => {
  const thrower = {
    ...reader,
    run: () => Number((undefined as unknown as { a: number }).a),
  } as unknown as Plugin;
  const { faults } = await runPlugin(thrower);
  expect(faults[0].code).toBe('plugin/threw');
  expect(faults[0].place).toMatchObject({ file: expect.stringContaining('refine.test.ts') });
  expect(faults[0].place?.line).toBeGreaterThan(1);
  expect(faults[0].values?.stack).toContain('refine.test.ts');
});

test('a survey can be made from columns', () => {
  const { lat, lon, depth } = madeLake().soundings[0] as unknown as Record<string, Float64Array>;
  const survey = surveyOf({ lat, lon, depth: Float32Array.from(depth) });
  expect(survey.count).toBe(depth.length);
  expect(survey.logs[0].account.used).toBe(depth.length);
});
