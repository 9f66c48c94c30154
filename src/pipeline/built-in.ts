import type { Plugin } from '../../shared/contract/plugin.ts';
import { checkPluginShape, loadPluginModule, type PluginSource } from './load-plugin.ts';

/** A built-in plugin before it is loaded. */
interface BuiltIn {
  readonly stage: Plugin['stage'];
  readonly load: () => Promise<Record<string, unknown>>;
}

/**
 * The built-in plugins, in the order they run within their stage.
 *
 * The only place where `src/` touches `plugins/`; each is loaded and checked as a person's own. The stage stands here as
 * well, so that a command loads only those that it runs.
 */
const BUILT_IN: Readonly<Record<string, BuiltIn>> = {
  'position-jumps': { stage: 'log', load: () => import('../../plugins/position-jumps.ts') },
  'draft-offset': { stage: 'log', load: () => import('../../plugins/draft-offset.ts') },
  'sound-speed': { stage: 'log', load: () => import('../../plugins/sound-speed.ts') },
  despike: { stage: 'log', load: () => import('../../plugins/despike.ts') },
  passes: { stage: 'log', load: () => import('../../plugins/passes.ts') },
  'reduce-blocks': { stage: 'log', load: () => import('../../plugins/reduce-blocks.ts') },
  duplicates: { stage: 'survey', load: () => import('../../plugins/duplicates.ts') },
  'far-logs': { stage: 'survey', load: () => import('../../plugins/far-logs.ts') },
  'water-level': { stage: 'survey', load: () => import('../../plugins/water-level.ts') },
  lag: { stage: 'survey', load: () => import('../../plugins/lag.ts') },
  'cross-lines': { stage: 'survey', load: () => import('../../plugins/cross-lines.ts') },
  bottom: { stage: 'waypoint', load: () => import('../../plugins/bottom.ts') },
  structure: { stage: 'waypoint', load: () => import('../../plugins/structure.ts') },
  'fish-band': { stage: 'waypoint', load: () => import('../../plugins/fish-band.ts') },
  magnetic: { stage: 'waypoint', load: () => import('../../plugins/magnetic.ts') },
  cast: { stage: 'waypoint', load: () => import('../../plugins/cast.ts') },
  'next-angles': { stage: 'waypoint', load: () => import('../../plugins/next-angles.ts') },
  'day-plan': { stage: 'plan', load: () => import('../../plugins/day-plan.ts') },
};

export const BUILT_IN_NAMES: readonly string[] = Object.keys(BUILT_IN);

/** Which plugins: told from what stands about a plugin before it is loaded. */
export type PluginChoice = (plugin: Pick<Plugin, 'name' | 'stage'>) => boolean;

/** One plugin by where it comes from. @param name Which of a module's plugins. */
export async function loadPlugin(source: PluginSource, name: string): Promise<Plugin> {
  const plugins =
    'builtIn' in source ? await loadBuiltIn(source.builtIn) : await loadPluginModule(source.module);
  const plugin = plugins.find((candidate) => candidate.name === name);
  if (plugin === undefined) throw new Error(`plugin "${name}" is gone from its module`);
  return plugin;
}

async function loadBuiltIn(name: string): Promise<Plugin[]> {
  const module = await BUILT_IN[name].load();
  return Object.values(module)
    .filter(
      (value): value is Record<string, unknown> =>
        typeof value === 'object' && value !== null && 'stage' in value,
    )
    .map((value) => checkPluginShape(value, name));
}

/** Built-in plugins with their sources, all of them unless a choice is given. */
export async function loadBuiltIns(
  isChosen: PluginChoice = () => true,
): Promise<{ plugin: Plugin; source: PluginSource }[]> {
  const names = BUILT_IN_NAMES.filter((name) => isChosen({ name, stage: BUILT_IN[name].stage }));
  const loaded = await Promise.all(names.map(loadBuiltIn));
  return loaded.flatMap((plugins, position) =>
    plugins.map((plugin) => ({ plugin, source: { builtIn: names[position] } })),
  );
}
