import { readdirSync } from 'node:fs';
import { basename } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import { beforeAll, describe, expect, test } from 'vitest';
import { makeLake } from '../fixtures/lakes/lake.ts';
import { simulateSurvey, toSoundings } from '../fixtures/lakes/survey.ts';
import { FIELDS, INTERNAL_FIELDS } from '../shared/contract/fields.ts';
import type { NumberOption, OptionDefinition } from '../shared/contract/options.ts';
import type { LogPlugin, Plugin, SurveyPlugin, WaypointPlugin } from '../shared/contract/plugin.ts';
import type { SoundingLog, Survey } from '../shared/contract/soundings.ts';
import type { Waypoint } from '../shared/contract/waypoint.ts';
import { joinLogs } from '../shared/engine/join-logs.ts';
import { type Pipeline, planPipeline } from '../shared/engine/plan-pipeline.ts';
import { runLogSteps } from '../shared/engine/run-logs.ts';
import { type Lake, runWaypoint } from '../shared/engine/run-waypoint.ts';
import { localFrame } from '../shared/geo/local-frame.ts';
import { indexSurvey } from '../shared/survey/survey-index.ts';
import { BUILT_IN } from '../src/run/built-in.ts';

const LAT = 40;
const LON = -90;
const DAY = '2026-10-01';

const plugins = BUILT_IN;
let pipeline: Pipeline;
let log: SoundingLog;
let lake: Lake;

beforeAll(async () => {
  pipeline = planPipeline(plugins, new Map(plugins.map((plugin) => [plugin.name, dayOf(plugin)])));
  const made = makeLake({ seed: 4711, perWord: 1 });
  const survey = simulateSurvey(made, {
    seed: 12,
    spacing: 25,
    center: [made.width / 2, made.height / 2],
    radius: Math.hypot(made.width, made.height) / 2,
  });
  const soundings = toSoundings(survey, LAT, LON);
  log = {
    ...soundings,
    file: 'made.csv',
    part: 0,
    line: Uint32Array.from({ length: soundings.count }, (_, i) => i + 2),
  };
  const frame = localFrame(LAT, LON);
  const waypoints = made.marks.map(({ name, east, north }, index): Waypoint => {
    const [lat, lon] = frame.toGeographic(east, north);
    const texts = { comment: '', description: '', symbol: '', type: '' };
    return { index, file: 'marks.gpx', fileIndex: index, line: index + 3, lat, lon, name, ...texts };
  });
  const account = { read: log.count, used: log.count, dropped: {} };
  const reduced = runLogSteps(log, pipeline.log, () => {}).soundings;
  const joined = joinLogs([{ file: 'made.csv', account, soundings: reduced }]);
  lake = { survey: joined, index: indexSurvey(joined), waypoints };
});

/** Sets the `date` options of a plugin, for which the command line would take today's date. */
const dayOf = (plugin: Plugin): Record<string, unknown> =>
  Object.fromEntries(
    Object.entries<OptionDefinition>(plugin.options).flatMap(([name, { kind }]) =>
      kind === 'date' ? [[name, DAY]] : [],
    ),
  );

/** Copies columns out of shared memory, which a structured clone would share. */
const copyOf = <S extends object>(columns: S): S =>
  Object.fromEntries(
    Object.entries(columns).map(([name, value]) => [
      name,
      ArrayBuffer.isView(value) ? (value as Float64Array).slice() : value,
    ]),
  ) as S;

const ofStage = <P extends Plugin>(stage: P['stage']): P[] =>
  plugins.filter((plugin): plugin is P => plugin.stage === stage);

describe('every built-in plugin', () => {
  test('is listed under its stage', () => {
    const stages = [...new Set(plugins.map(({ stage }) => stage))];
    expect(stages).toEqual(['reader', 'log', 'survey', 'waypoint', 'plan', 'writer']);
    expect(stages.flatMap(ofStage)).toEqual(plugins);
  });

  test("has its file's name, one summary sentence, and options with help and a default in range", () => {
    const files = readdirSync('plugins').map((file) => basename(file, '.ts'));
    const others = plugins.filter(({ stage }) => stage !== 'reader' && stage !== 'writer');
    expect(others.map(({ name }) => name).sort()).toEqual(files.sort());
    for (const plugin of plugins) {
      expect(plugin.summary).toMatch(/^[A-Z].*\.$/);
      for (const [name, option] of Object.entries<OptionDefinition>(plugin.options)) {
        expect(option.help, `${plugin.name}.${name}`).toMatch(/^[A-Z].*\.$/);
        const { default: value, min, max } = option as NumberOption;
        if (typeof value !== 'number') continue;
        expect(value, `${plugin.name}.${name}`).toBeGreaterThanOrEqual(min ?? Number.NEGATIVE_INFINITY);
        expect(value, `${plugin.name}.${name}`).toBeLessThanOrEqual(max ?? Number.POSITIVE_INFINITY);
      }
    }
  });

  test('provides and requires only fields of the registry', () => {
    const known = [...Object.keys(FIELDS), ...Object.keys(INTERNAL_FIELDS)];
    for (const { requires, uses = [], provides } of ofStage<WaypointPlugin>('waypoint'))
      for (const field of [...requires, ...uses, ...provides]) expect(known).toContain(field);
  });

  test('of the log stage leaves its input unchanged and gives the same result twice', () => {
    for (const plugin of ofStage<LogPlugin>('log')) {
      const { options } = pipeline.log.find((step) => step.plugin === plugin) ?? { options: {} };
      const before = copyOf(log);
      const run = () =>
        plugin.run({ log }, options as never, { report: () => {}, progress: () => {}, isWanted: () => true });
      const first = structuredClone(run());
      expect(isDeepStrictEqual(run(), first), plugin.name).toBe(true);
      expect(isDeepStrictEqual({ ...log }, before), plugin.name).toBe(true);
    }
  });

  test('of the survey stage leaves its input unchanged and gives the same result twice', () => {
    for (const plugin of ofStage<SurveyPlugin>('survey')) {
      const { options } = pipeline.survey.find((step) => step.plugin === plugin) ?? { options: {} };
      const before = copyOf(lake.survey);
      const input = { survey: lake.survey, logs: lake.survey.logs, waypoints: lake.waypoints };
      const run = () =>
        plugin.run(input, options as never, { report: () => {}, progress: () => {}, isWanted: () => true });
      const first = structuredClone(run());
      expect(isDeepStrictEqual(run(), first), plugin.name).toBe(true);
      expect(isDeepStrictEqual({ ...lake.survey }, before), plugin.name).toBe(true);
    }
  });

  test('of the waypoint stage leaves its input unchanged, gives the same result twice, and keeps the contract', () => {
    const before: Survey = copyOf(lake.survey);
    for (const waypoint of lake.waypoints) {
      const first = runWaypoint(Object.freeze({ ...waypoint }), lake, pipeline.waypoint);
      const second = runWaypoint(Object.freeze({ ...waypoint }), lake, pipeline.waypoint);
      expect(second).toEqual(first);
      expect(first.diagnostics.filter(({ code }) => code.startsWith('plugin/'))).toEqual([]);
    }
    expect(isDeepStrictEqual({ ...lake.survey }, before)).toBe(true);
  });
});
