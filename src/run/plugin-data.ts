import type { Plugin } from '../../shared/contract/index.ts';
import { type ByStage, type Pipeline, STAGES, type Step } from '../../shared/engine/index.ts';
import { loadPlugin } from './built-in.ts';
import type { PluginSource } from './load-plugin.ts';

export interface StepData extends Omit<Step, 'plugin'> {
  readonly source: PluginSource;
  readonly name: string;
}

export type PluginSources = ReadonlyMap<Plugin, PluginSource>;

export type PipelineData = ByStage<readonly StepData[]> & Pick<Pipeline, 'fields'>;

export function stepData({ plugin, ...step }: Step, sources: PluginSources): StepData {
  const source = sources.get(plugin);
  if (source === undefined) throw new Error(`no source for plugin "${plugin.name}"`);
  return { ...step, source, name: plugin.name };
}

export const stepFromData = async <P extends Plugin>({
  source,
  name,
  ...step
}: StepData): Promise<Step<P>> => ({
  ...step,
  plugin: (await loadPlugin(source, name)) as P,
});

export function pipelineData(pipeline: Pipeline, sources: PluginSources): PipelineData {
  const stages = STAGES.map((stage) => [stage, pipeline[stage].map((step) => stepData(step, sources))]);
  return { ...Object.fromEntries(stages), fields: pipeline.fields };
}

/** Recreates a pipeline in another thread, with the sources of its plugins. */
export async function pipelineFromData(
  data: PipelineData,
): Promise<{ pipeline: Pipeline; sources: PluginSources }> {
  const sources = new Map<Plugin, PluginSource>();
  const recreate = async (step: StepData): Promise<Step> => {
    const made = await stepFromData(step);
    sources.set(made.plugin, step.source);
    return made;
  };
  const stages = await Promise.all(
    STAGES.map(async (stage) => [stage, await Promise.all(data[stage].map(recreate))] as const),
  );
  return { pipeline: { ...Object.fromEntries(stages), fields: data.fields } as unknown as Pipeline, sources };
}
