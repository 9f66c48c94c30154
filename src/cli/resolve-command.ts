import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { basename } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type JsonFile, type OptionValues, type Plugin, Refusal } from '../../shared/contract/index.ts';
import {
  type Given,
  isPath,
  localDay,
  type OptionGroup,
  ofAllStages,
  type Pipeline,
  parseJson,
  type ResolvedRun,
  resolveRun,
  type Setting,
  type Step,
} from '../../shared/engine/index.ts';
import {
  configMessages as says,
  fileMessages as saysOfFiles,
  inputMessages as saysOfInput,
  optionMessages as saysOfOption,
  pluginMessages as saysOfPlugin,
} from '../../shared/text/index.ts';
import { specialFileOf } from '../files/index.ts';
import {
  BUILT_IN,
  builtInWithout,
  isUserSource,
  loadPluginModule,
  type PluginSource,
  resolvePluginModule,
} from '../run/index.ts';
import { configAccess, isTrusted, LAKE_CONFIG, outsideAccess } from './batch/outside-access.ts';
import { type CommandIo, createCommandIo } from './command-io.ts';
import { COMMAND_GROUPS, CORE_GROUP, CORE_OPTIONS, settingsOf } from './command-options.ts';
import { type CommandShape, parseCommandLine } from './parse-command-line.ts';
import {
  type Config,
  EMPTY_CONFIG,
  fromConfigFolder,
  type PluginReference,
  pluginsNamed,
  readConfig,
  refuseKey,
} from './read-config.ts';
import { unitOptions } from './user-settings.ts';

/** A command line and configuration with all values complete, plugins loaded and the pipeline planned. */
export interface ResolvedCommand extends ResolvedRun {
  readonly name: string;
  readonly io: CommandIo;
  readonly positionals: readonly string[];
  readonly sources: ReadonlyMap<Plugin, PluginSource>;
  readonly inputs: OptionValues<typeof CORE_OPTIONS>;
  /** The configuration, and the files of `file` options, such as a lure box. */
  readonly valueFiles: readonly string[];
  /** The `valueFiles` and the modules of the user's plugins. */
  readonly sideFiles: readonly string[];
  readonly workers: number;
  /** Options of single logs by pattern, from the configuration. */
  readonly logSets: ReadonlyMap<string, readonly Given[]>;
}

export const LOG_STAGES = ['reader', 'log', 'survey'] as const;
export const MARK_STAGES = [...LOG_STAGES, 'waypoint', 'refine'] as const;
export const ALL_STAGES = [...MARK_STAGES, 'plan', 'writer'] as const;

export const pluginsOf = (pipeline: Pipeline): Plugin[] =>
  ofAllStages<Step>(pipeline).map(({ plugin }) => plugin);

/**
 * Reads the command line, the configuration and value files, loads the plugins and plans the pipeline. No
 * waypoints, logs or tracks are read.
 *
 * @param stages Stages whose plugins the command runs; their options become flags.
 * @param groups Option groups of the command besides `CORE_GROUP`.
 * @throws Refusal with status 2, or with status 1 for a value file that cannot be used.
 */
export async function resolveCommand(
  shape: CommandShape,
  argv: readonly string[],
  stages: readonly Plugin['stage'][],
  groups = (COMMAND_GROUPS as Readonly<Record<string, readonly OptionGroup[]>>)[shape.name] ?? [],
): Promise<ResolvedCommand> {
  const file = scanFlag(argv, 'config').at(-1);
  const read = file === undefined ? EMPTY_CONFIG : readConfig(file);
  if (file !== undefined) await refuseUntrusted(read, commandLinePlugins(argv));
  const config = withSets(read, argv);
  const own = pluginsNamed(config, config.given).map((reference) => ({ reference, folder: config.folder }));
  const loaded = await loadPlugins(
    [...own, ...commandLinePlugins(argv)],
    listOf(argv, config.given, 'without'),
  );
  const plugins = loaded.plugins.filter(({ stage }) => stages.includes(stage));
  let positionals: readonly string[] = [];
  const run = await resolveRun({
    plugins,
    known: loaded.known,
    isUserPlugin: (plugin) => isUserSource(loaded.sources.get(plugin)),
    groups: [CORE_GROUP, ...groups],
    given: (settings) => {
      const typed = parseCommandLine(shape, settings, argv);
      positionals = typed.positionals;
      return [...configGiven(config, settings, loaded.known), ...typed.given];
    },
    today: localDay(new Date()),
    readFile: async (path, { format, flag }) => {
      const odd = specialFileOf(path);
      if (odd !== undefined) throw new Refusal([saysOfFiles['read kind']({ file: path }, odd)]);
      if (format === 'json') return readJsonFile(path);
      const { readCsvFile } = await import('../formats/csv/csv-file.ts');
      return readCsvFile(path, { what: flag === undefined ? 'file' : `file of --${flag}` });
    },
  });
  const inputs = run.values('core', CORE_OPTIONS);
  const valueFiles = [...(file === undefined ? [] : [file]), ...run.files];
  return {
    ...run,
    name: shape.name,
    io: createCommandIo(inputs.json, run.units),
    positionals,
    sources: loaded.sources,
    inputs,
    valueFiles,
    sideFiles: [...valueFiles, ...new Set([...loaded.sources.values()].flatMap(moduleFile))],
    workers: inputs.workers ?? availableParallelism(),
    logSets: config.sets.logs,
  };
}

/**
 * Loads and checks every plugin of a run: the built-in plugins except those left out, then the user's.
 *
 * @returns The `plugins` of the run; all `known` plugins, including those left out; and the source of each.
 * @throws Refusal (status 2) for a plugin that fails to load, or a user's plugin of stage `plan`.
 */
async function loadPlugins(
  own: readonly PluginReference[],
  without: readonly string[],
): Promise<{ plugins: Plugin[]; known: Plugin[]; sources: Map<Plugin, PluginSource> }> {
  const builtIn = builtInWithout(without);
  const sources = new Map<Plugin, PluginSource>(BUILT_IN.map((plugin) => [plugin, { builtIn: true }]));
  const user: Plugin[] = [];
  for (const { reference, folder } of own) {
    const module = await resolvePluginModule(reference, folder);
    for (const plugin of await loadPluginModule(module, reference)) {
      if (plugin.stage === 'plan') throw new Refusal([saysOfPlugin['plan-stage'](undefined, plugin.name)], 2);
      sources.set(plugin, { module });
      user.push(plugin);
    }
  }
  return { plugins: [...builtIn, ...user], known: [...BUILT_IN, ...user], sources };
}

/** Finds the values of a flag in the command line while its other options are still unknown. */
function scanFlag(argv: readonly string[], flag: string): string[] {
  return argv.flatMap((word, position) => {
    if (word === `--${flag}`) return argv[position + 1] === undefined ? [] : [argv[position + 1]];
    return word.startsWith(`--${flag}=`) ? [word.slice(flag.length + 3)] : [];
  });
}

/**
 * Refuses a configuration with requests, as listed by `configAccess`, until it is trusted. For the
 * configuration of a lake folder, trust in the folder is enough.
 *
 * @param typed Plugins named on the command line, which need no trust.
 */
async function refuseUntrusted(config: Config, typed: readonly PluginReference[]): Promise<void> {
  const reach = await configAccess(config, typed);
  if (isTrusted(config.file, reach)) return;
  const isOfLake = basename(config.file) === LAKE_CONFIG;
  if (isOfLake && isTrusted(config.folder, await outsideAccess(config.folder))) return;
  throw new Refusal([says['not-trusted']({ file: config.file }, config.file, reach.requests)], 2);
}

/** Adds the requested presets, limits and unit to a configuration, where they win over other options. */
function withSets(config: Config, argv: readonly string[]): Config {
  const presets = listOf(argv, config.given, 'preset');
  const limits = listOf(argv, config.given, 'limits').slice(-1);
  const given = [
    ...config.given,
    ...presets.flatMap((name) => setOf('--preset', name, config, 'presets')),
    ...limits.flatMap((name) => setOf('--limits', name, config, 'limit-sets')),
  ];
  const unit = listOf(argv, given, 'unit').slice(-1);
  return { ...config, given: [...given, ...unit.flatMap(unitOptions)] };
}

/** Finds a named set of options. @throws Refusal (status 2) when no set has the name. */
function setOf(
  flag: string,
  name: string,
  { sets }: Config,
  key: 'presets' | 'limit-sets',
): readonly Given[] {
  const set = sets[key].get(name);
  if (set !== undefined) return set;
  const known = [...sets[key].keys()].join(', ');
  const expected =
    known === ''
      ? `a set named under ${key} in the file of --config`
      : `one of the ${key} in the file of --config: ${known}`;
  throw new Refusal([saysOfOption.value(undefined, flag, name, expected)], 2);
}

const commandLinePlugins = (argv: readonly string[]): PluginReference[] =>
  scanFlag(argv, 'plugin').map((reference) => ({ reference, folder: process.cwd() }));

function listOf(argv: readonly string[], given: readonly Given[], flag: string): string[] {
  const listed = given.filter((item) => item.flag === flag).flatMap(({ texts }) => texts);
  return [...listed, ...scanFlag(argv, flag)].flatMap((text) => text.split(',')).map((name) => name.trim());
}

/**
 * Returns the options of the configuration for this command, with paths relative to the working folder.
 *
 * Keys of other commands, and of plugins that this command does not run, are ignored.
 *
 * @throws Refusal (status 2) for a key that no command or plugin has.
 */
function configGiven(
  config: Config,
  settings: ReadonlyMap<string, Setting>,
  known: readonly Plugin[],
): Given[] {
  const everywhere = settingsOf(known);
  return config.given.flatMap((item) => {
    const setting = settings.get(item.flag);
    if (setting === undefined) {
      if (everywhere.has(item.flag)) return [];
      return refuseKey(item, everywhere.keys());
    }
    if (!isPath(setting.definition)) return [item];
    return [{ ...item, texts: item.texts.map((text) => fromConfigFolder(config.folder, text)) }];
  });
}

const moduleFile = (source: PluginSource): string[] =>
  'module' in source ? [fileURLToPath(source.module)] : [];

function readJsonFile(file: string): JsonFile {
  let bytes: Uint8Array;
  try {
    bytes = readFileSync(file);
  } catch (cause) {
    const { code, message } = cause as NodeJS.ErrnoException;
    throw new Refusal([
      code === 'ENOENT' ? saysOfInput.missing({ file }) : saysOfFiles.read({ file }, code ?? message),
    ]);
  }
  return parseJson(bytes, file);
}
