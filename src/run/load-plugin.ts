import { existsSync } from 'node:fs';
import { extname, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { type FieldDefinition, type Plugin, Refusal } from '../../shared/contract/index.ts';
import { pluginNotFound, pluginShape } from '../../shared/text/index.ts';

/** Where a plugin comes from, as data that a worker can load it from again. */
export type PluginSource = { readonly builtIn: true } | { readonly module: string };

const NAME = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
const STAGES = ['reader', 'log', 'survey', 'waypoint', 'plan', 'writer'];

/** Absolute URL of a module path or package name, relative to a folder. */
export async function resolvePluginModule(reference: string, folder: string): Promise<string> {
  const path = resolve(folder, reference);
  if (existsSync(path)) return pathToFileURL(path).href;
  try {
    const from = pathToFileURL(resolve(folder, 'package.json')).href;
    // From another folder, Node resolves packages only as for CommonJS modules.
    const { createJiti } = await import('jiti');
    return createJiti(from).esmResolve(reference, { conditions: ['node', 'import'] });
  } catch (cause) {
    throw new Refusal([pluginNotFound(reference, (cause as Error).message.split('\n')[0])], 2);
  }
}

/**
 * Plugins that a module exports, checked for shape.
 *
 * Every export that has a `stage` counts, also inside an exported array. TypeScript modules are compiled on loading.
 * @throws Refusal (status 2) when the module does not load or an export is not a plugin.
 */
export async function loadPluginModule(url: string, reference = url): Promise<Plugin[]> {
  let module: Record<string, unknown>;
  try {
    module = (await importModule(url)) as Record<string, unknown>;
  } catch (cause) {
    throw new Refusal([pluginNotFound(reference, (cause as Error).message.split('\n')[0])], 2);
  }
  const candidates = Object.values(module).flat();
  const plugins = candidates.filter(
    (value) => typeof value === 'object' && value !== null && 'stage' in value,
  );
  if (plugins.length === 0)
    throw new Refusal(
      [
        pluginShape(
          reference,
          'exports without a plugin',
          'an export with name, summary, stage, options and run (of a reader sniff and read, of a writer write)',
        ),
      ],
      2,
    );
  const unique = [...new Set(plugins)];
  return unique.map((plugin) => checkPluginShape(plugin as object, reference));
}

/**
 * A plugin's module, in which `downslope` is this program wherever the module lies.
 *
 * TypeScript is compiled on the way in, and so is JavaScript in whose folder no package of that name can be found.
 */
async function importModule(url: string): Promise<unknown> {
  if (['.ts', '.mts', '.cts'].includes(extname(new URL(url).pathname))) return compileModule(url);
  try {
    return await import(url);
  } catch (cause) {
    const { code, message } = cause as NodeJS.ErrnoException;
    if (code === 'ERR_MODULE_NOT_FOUND' && message.includes("'downslope'")) return compileModule(url);
    throw cause;
  }
}

async function compileModule(url: string): Promise<unknown> {
  const [{ createJiti }, downslope] = await Promise.all([import('jiti'), import('../../shared/index.ts')]);
  return createJiti(import.meta.url, { virtualModules: { downslope } }).import(url);
}

/** Checks that a plugin has the shape of the contract and returns it. */
export function checkPluginShape(candidate: object, reference: string): Plugin {
  const plugin = candidate as Record<string, unknown>;
  const demand = (holds: boolean, found: string, expected: string): void => {
    if (!holds) throw new Refusal([pluginShape(reference, found, expected)], 2);
  };
  const show = (value: unknown): string => JSON.stringify(value) ?? String(value);
  demand(
    typeof plugin.name === 'string' && NAME.test(plugin.name),
    `name ${show(plugin.name)}`,
    'a kebab-case name',
  );
  demand(
    typeof plugin.summary === 'string' && plugin.summary !== '',
    `summary ${show(plugin.summary)}`,
    'one sentence',
  );
  demand(
    STAGES.includes(plugin.stage as string),
    `stage ${show(plugin.stage)}`,
    `one of ${STAGES.join(', ')}`,
  );
  const isReader = plugin.stage === 'reader';
  const functions = { reader: ['sniff', 'read'], writer: ['write'] }[plugin.stage as string] ?? ['run'];
  for (const key of functions)
    demand(typeof plugin[key] === 'function', `${key} ${show(plugin[key])}`, 'a function');
  if (isReader)
    demand(
      isTextList(plugin.extensions) &&
        (plugin.extensions as string[]).every((text) => /^\.[a-z0-9]+$/.test(text)),
      `extensions ${show(plugin.extensions)}`,
      'a list of lower-case file extensions, each with its dot',
    );
  demand(isRecord(plugin.options), `options ${show(plugin.options)}`, 'an object of option definitions');
  for (const [name, option] of Object.entries(plugin.options as Record<string, unknown>))
    demand(
      isRecord(option) && typeof option.kind === 'string' && typeof option.help === 'string',
      `option "${name}"`,
      'kind and help',
    );
  if (plugin.stage === 'writer') {
    const { out } = plugin.options as Record<string, { kind?: unknown; isPath?: unknown } | undefined>;
    demand(
      out?.kind === 'text' && out.isPath === true,
      `option out ${show(out)}`,
      'an option "out" of kind text that is a path: the folder for its files',
    );
    demand(isTextList(plugin.requires), `requires ${show(plugin.requires)}`, 'a list of field names');
  }
  if (plugin.stage === 'waypoint') {
    for (const key of ['requires', 'provides'])
      demand(isTextList(plugin[key]), `${key} ${show(plugin[key])}`, 'a list of field names');
    demand(
      plugin.uses === undefined || isTextList(plugin.uses),
      `uses ${show(plugin.uses)}`,
      'a list of field names',
    );
    for (const [name, field] of Object.entries((plugin.fields ?? {}) as Record<string, FieldDefinition>))
      demand(
        /^[a-z][a-z0-9_]*$/.test(name) &&
          isRecord(field) &&
          typeof field.help === 'string' &&
          ['number', 'text', 'word'].includes(field.type),
        `field "${name}"`,
        'a lower_case name with type (number, text or word), unit and help',
      );
  }
  return plugin as unknown as Plugin;
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const isTextList = (value: unknown): boolean =>
  Array.isArray(value) && value.every((item) => typeof item === 'string');

/** True for a plugin of the user. */
export const isOwnSource = (source: PluginSource | undefined): boolean =>
  source !== undefined && 'module' in source;
