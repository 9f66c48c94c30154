import { isAbsolute, relative, resolve } from 'node:path';
import { type Plugin, Refusal } from '../../shared/contract/index.ts';
import { pluginMessages as says } from '../../shared/text/index.ts';
import {
  BUILT_IN,
  builtInWithout,
  loadPluginModule,
  type PluginSource,
  resolvePluginModule,
} from '../run/index.ts';

export interface PluginReference {
  readonly reference: string;
  readonly folder: string;
}

/**
 * Loads and checks every plugin of a run: the built-in plugins except those left out, then the user's.
 *
 * @returns `known` includes those left out.
 * @throws Refusal (status 2) for a plugin that fails to load, or a user's plugin whose results have no writer.
 */
export async function loadPlugins(
  own: readonly PluginReference[],
  without: readonly string[],
): Promise<{ plugins: Plugin[]; known: Plugin[]; sources: Map<Plugin, PluginSource> }> {
  const builtIn = builtInWithout(without);
  const sources = new Map<Plugin, PluginSource>(BUILT_IN.map((plugin) => [plugin, { builtIn: true }]));
  const user: Plugin[] = [];
  for (const { reference, folder } of own) {
    const module = await resolvePluginModule(reference, folder);
    for (const plugin of await loadPluginModule(module, reference)) {
      if (plugin.stage === 'plan') throw new Refusal([says['plan-stage'](undefined, plugin.name)], 2);
      sources.set(plugin, { module });
      user.push(plugin);
    }
  }
  return { plugins: [...builtIn, ...user], known: [...BUILT_IN, ...user], sources };
}

/** A path from a configuration file, made relative to the working folder. */
export function fromConfigFolder(folder: string, path: string): string {
  if (path === '-' || isAbsolute(path)) return path;
  return relative('', resolve(folder, path)) || '.';
}
