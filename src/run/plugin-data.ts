import type { AnyWaypointPlugin, Plugin } from '../../shared/contract/index.ts';
import type { Pipeline, PluginOptions, Step } from '../../shared/engine/index.ts';
import { loadPlugin } from './built-in.ts';
import type { PluginSource } from './load-plugin.ts';

/** A step as plain data, from which a worker can recreate the step. */
export interface StepData {
  readonly source: PluginSource;
  readonly name: string;
  readonly options: PluginOptions;
  readonly isUserPlugin: boolean;
  readonly wanted: readonly string[];
}

export type PluginSources = ReadonlyMap<Plugin, PluginSource>;

/** A pipeline as plain data. */
export interface PipelineData
  extends Omit<Pipeline, 'reader' | 'log' | 'survey' | 'waypoint' | 'plan' | 'writer'> {
  readonly steps: readonly StepData[];
}

export function stepData(
  { plugin, options, isUserPlugin = false, wanted = [] }: Step,
  sources: PluginSources,
): StepData {
  const source = sources.get(plugin);
  if (source === undefined) throw new Error(`no source for plugin "${plugin.name}"`);
  return { source, name: plugin.name, options, isUserPlugin, wanted };
}

export async function stepFromData<P extends Plugin>({
  source,
  name,
  options,
  isUserPlugin,
  wanted,
}: StepData): Promise<Step<P>> {
  return { plugin: (await loadPlugin(source, name)) as P, options, isUserPlugin, wanted };
}

export function pipelineData(
  { reader, log, survey, waypoint, plan, writer, fields }: Pipeline,
  sources: PluginSources,
): PipelineData {
  return {
    fields,
    steps: [...reader, ...log, ...survey, ...waypoint, ...plan, ...writer].map((step) =>
      stepData(step, sources),
    ),
  };
}

const isOfWaypoint = (step: Step): step is Step<AnyWaypointPlugin> =>
  step.plugin.stage === 'waypoint' || step.plugin.stage === 'refine';

/** Recreates a pipeline in another thread, with the sources of its plugins. */
export async function pipelineFromData({
  fields,
  steps,
}: PipelineData): Promise<{ pipeline: Pipeline; sources: PluginSources }> {
  const made = await Promise.all(steps.map(stepFromData));
  const stage = <S extends Plugin['stage']>(name: S) =>
    made.filter((step): step is Step<Extract<Plugin, { stage: S }>> => step.plugin.stage === name);
  const sources = new Map(made.map(({ plugin }, position) => [plugin, steps[position].source]));
  return {
    pipeline: {
      reader: stage('reader'),
      log: stage('log'),
      survey: stage('survey'),
      // Waypoint plugins and refiners stay in one order: a refiner runs between the provider of a field and its
      // readers.
      waypoint: made.filter(isOfWaypoint),
      plan: stage('plan'),
      writer: stage('writer'),
      fields,
    },
    sources,
  };
}
