import { existsSync } from 'node:fs';
import { extname, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { type Plugin, Refusal } from '../../shared/contract/index.ts';
import { checkPluginShape } from '../../shared/engine/index.ts';
import { pluginMessages as says } from '../../shared/text/index.ts';

/** Source of a plugin, as plain data from which a thread can load the plugin again. */
export type PluginSource = { readonly builtIn: true } | { readonly module: string };

/**
 * Finds the URL of a module: by its path from `folder`, else as a package from `folder` or from this program.
 *
 * @throws Refusal (status 2) when there is no such module.
 */
export async function resolvePluginModule(reference: string, folder: string): Promise<string> {
  const path = resolve(folder, reference);
  if (existsSync(path)) return pathToFileURL(path).href;
  try {
    const from = pathToFileURL(resolve(folder, 'package.json')).href;
    // Node resolves packages from another folder only by the rules for CommonJS modules, so jiti is used.
    const { createJiti } = await import('jiti');
    const find = { conditions: ['node', 'import'] };
    return (
      createJiti(from).esmResolve(reference, { ...find, try: true }) ??
      // The second place is beside this program, since `npm install -g` puts program and plugin there.
      createJiti(import.meta.url).esmResolve(reference, find)
    );
  } catch (cause) {
    throw new Refusal([says['not-found'](undefined, reference, (cause as Error).message.split('\n')[0])], 2);
  }
}

/**
 * Loads the plugins that a module exports and checks their shape.
 *
 * Every exported object with a `stage` counts, including those in an exported array. TypeScript is compiled.
 * @param reference Name of the module in messages.
 * @throws Refusal (status 2) when the module does not load, exports no such object, or one has a wrong shape.
 */
export async function loadPluginModule(url: string, reference = url): Promise<Plugin[]> {
  let module: Record<string, unknown>;
  try {
    module = (await importModule(url)) as Record<string, unknown>;
  } catch (cause) {
    throw new Refusal([says['not-found'](undefined, reference, (cause as Error).message.split('\n')[0])], 2);
  }
  const candidates = Object.values(module).flat();
  const plugins = candidates.filter(
    (value) => typeof value === 'object' && value !== null && 'stage' in value,
  );
  if (plugins.length === 0)
    throw new Refusal(
      [
        says.shape(
          undefined,
          reference,
          'no exported plugin',
          'an export with name, summary, stage, options and run (instead of run, a reader has sniff and read, and a writer write)',
        ),
      ],
      2,
    );
  const unique = [...new Set(plugins)];
  return unique.map((plugin) => checkPluginShape(plugin as object, reference));
}

/**
 * Imports a plugin's module, which may import `downslope`.
 *
 * TypeScript is compiled. JavaScript is compiled only after Node did not find `downslope` or reported a
 * syntax error. In compiled modules, `downslope` is this program.
 */
async function importModule(url: string): Promise<unknown> {
  if (['.ts', '.mts', '.cts'].includes(extname(new URL(url).pathname))) return compileModule(url);
  try {
    return await import(url);
  } catch (cause) {
    const { code, message } = cause as NodeJS.ErrnoException;
    const isUnresolved = code === 'ERR_MODULE_NOT_FOUND' && message.includes("'downslope'");
    // With a package.json as `npm init` writes it, Node reads an ES module as CommonJS: a syntax error.
    if (isUnresolved || cause instanceof SyntaxError) return compileModule(url);
    throw cause;
  }
}

async function compileModule(url: string): Promise<unknown> {
  const [{ createJiti }, downslope] = await Promise.all([import('jiti'), import('../../shared/index.ts')]);
  return createJiti(import.meta.url, { virtualModules: { downslope } }).import(url);
}

export const isUserSource = (source: PluginSource | undefined): boolean =>
  source !== undefined && 'module' in source;
