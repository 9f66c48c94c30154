import type { Plugin } from '../../shared/contract/plugin.ts';
import { checkPluginShape, loadPluginModule, type PluginSource } from './load-plugin.ts';

/**
 * The built-in plugins, in the order they run within their stage.
 *
 * The only place where `src/` touches `plugins/`; each is loaded and checked as a person's own.
 */
const BUILT_IN: Readonly<Record<string, () => Promise<Record<string, unknown>>>> = {
  'position-jumps': () => import('../../plugins/position-jumps.ts'),
  'draft-offset': () => import('../../plugins/draft-offset.ts'),
  'sound-speed': () => import('../../plugins/sound-speed.ts'),
  despike: () => import('../../plugins/despike.ts'),
  passes: () => import('../../plugins/passes.ts'),
  'reduce-blocks': () => import('../../plugins/reduce-blocks.ts'),
  duplicates: () => import('../../plugins/duplicates.ts'),
  overlap: () => import('../../plugins/overlap.ts'),
  'water-level': () => import('../../plugins/water-level.ts'),
  lag: () => import('../../plugins/lag.ts'),
  'cross-lines': () => import('../../plugins/cross-lines.ts'),
  bottom: () => import('../../plugins/bottom.ts'),
  structure: () => import('../../plugins/structure.ts'),
  'fish-band': () => import('../../plugins/fish-band.ts'),
  magnetic: () => import('../../plugins/magnetic.ts'),
  cast: () => import('../../plugins/cast.ts'),
  'next-angles': () => import('../../plugins/next-angles.ts'),
  'day-plan': () => import('../../plugins/day-plan.ts'),
};

export const BUILT_IN_NAMES: readonly string[] = Object.keys(BUILT_IN);

/** One plugin by where it comes from. @param name Which of a module's plugins. */
export async function loadPlugin(source: PluginSource, name: string): Promise<Plugin> {
  const plugins =
    'builtIn' in source ? await loadBuiltIn(source.builtIn) : await loadPluginModule(source.module);
  const plugin = plugins.find((candidate) => candidate.name === name);
  if (plugin === undefined) throw new Error(`plugin "${name}" is gone from its module`);
  return plugin;
}

async function loadBuiltIn(name: string): Promise<Plugin[]> {
  const module = await BUILT_IN[name]();
  return Object.values(module)
    .filter(
      (value): value is Record<string, unknown> =>
        typeof value === 'object' && value !== null && 'stage' in value,
    )
    .map((value) => checkPluginShape(value, name));
}

/** All built-in plugins with their sources. */
export async function loadBuiltIns(): Promise<{ plugin: Plugin; source: PluginSource }[]> {
  const loaded = await Promise.all(BUILT_IN_NAMES.map(loadBuiltIn));
  return loaded.flatMap((plugins, position) =>
    plugins.map((plugin) => ({ plugin, source: { builtIn: BUILT_IN_NAMES[position] } })),
  );
}
