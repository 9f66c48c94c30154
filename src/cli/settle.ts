import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import {
  type CsvFile,
  type DisplayUnits,
  type JsonFile,
  type OptionDefinitions,
  type OptionValues,
  type Plugin,
  Refusal,
} from '../../shared/contract/index.ts';
import { unitsOption } from '../../shared/retrieve/index.ts';
import {
  configKey,
  inputMissing,
  inputNotJson,
  inputUnreadable,
  optionValue,
} from '../../shared/text/index.ts';
import { defaultsOf, isOwnSource, type Pipeline, type PluginSource, planPipeline } from '../run/index.ts';
import { COMMAND_GROUPS } from './command-groups.ts';
import { inputOptions } from './core-options.ts';
import { fromConfigFolder, loadPlugins, type PluginReference } from './load-plugins.ts';
import { collectSettings, isPath, type OptionGroup, type Setting } from './options/option-groups.ts';
import { parseOptionValue } from './options/parse-value.ts';
import { type Given, type ResolvedValues, resolveSettings } from './options/resolve-settings.ts';
import { type CommandShape, parseCommandLine } from './parse-command-line.ts';
import type { Config } from './read-config.ts';

/** A resolved command line and configuration: values complete, plugins loaded, pipeline planned. */
export interface Settled {
  readonly positionals: readonly string[];
  readonly units: DisplayUnits;
  /** Day of the plan, `YYYY-MM-DD`. */
  readonly date: string;
  readonly pipeline: Pipeline;
  readonly sources: ReadonlyMap<Plugin, PluginSource>;
  readonly inputs: OptionValues<typeof inputOptions>;
  /** Files of values, such as a lure box, and the configuration, as read here. */
  readonly valueFiles: readonly string[];
  /** All files read besides waypoints, logs and tracks: those, and plugins of the user. */
  readonly sideFiles: readonly string[];
  readonly workers: number;
  /** Values of one of the command's own groups. */
  values<O extends OptionDefinitions>(owner: string, options: O): OptionValues<O>;
  /** Options of single logs by pattern, as the configuration has them. */
  readonly logSets: ReadonlyMap<string, readonly Given[]>;
  /** All settings as given, for a run in another process or the key of the store. */
  readonly given: readonly Given[];
}

const CORE_OPTIONS = { units: unitsOption, ...inputOptions } as const;
const CORE_GROUPS: readonly OptionGroup[] = [
  { owner: 'core', heading: 'What is read, and how:', options: CORE_OPTIONS },
];
/** Of a run that is given a unit and no configuration. */
const EMPTY_CONFIG: Config = {
  given: [],
  plugins: [],
  limitSets: new Map(),
  logSets: new Map(),
  folder: '.',
  file: '',
};
const DATE_OPTION = {
  date: { kind: 'date', default: 'today', help: 'Day of the plan.' },
} as const satisfies OptionDefinitions;

/**
 * Reads command line and configuration, loads the plugins and plans the pipeline: all that can be wrong
 * with a command is said here, before a byte of input is read.
 *
 * @param own Option groups of the command besides the common ones.
 * @param usesPlugins Plugins the command runs; their options become flags. Those of the plan stage run in `plan`
 * only.
 * @throws Refusal (status 2, or 1 for a file of values that cannot be used).
 */
export async function settle(
  shape: CommandShape,
  own: readonly OptionGroup[],
  argv: readonly string[],
  usesPlugins: (plugin: Plugin) => boolean = ({ stage }) => stage !== 'plan' && stage !== 'writer',
): Promise<Settled> {
  const config = await withUnit(withLimits(await configOf(argv), argv), argv);
  const references = [...configPlugins(config), ...commandLinePlugins(argv)];
  const loaded = await loadPlugins(references, listOf(argv, config, 'without'));
  const plugins = loaded.plugins.filter(usesPlugins);
  const groups = [...CORE_GROUPS, ...own, ...plugins.map(groupOf)];
  planPipeline(plugins, new Map(), loaded.known);
  const settings = collectSettings(groups);
  const typed = parseCommandLine(shape, settings, argv);
  const given = [...configGiven(config, settings, loaded.known), ...typed.given];
  const units = unitsOf(given);
  const today = localDay(new Date());
  const paths = resolveSettings(settings, given, units, today);
  const resolved = await readFiles(paths, groups);
  const pipeline = planPipeline(plugins, resolved, loaded.known, (plugin) =>
    isOwnSource(loaded.sources.get(plugin)),
  );
  const values = <O extends OptionDefinitions>(owner: string, options: O): OptionValues<O> =>
    ({ ...defaultsOf({ options }), ...resolved.get(owner) }) as OptionValues<O>;
  const inputs = values('core', CORE_OPTIONS);
  const valueFiles = [
    ...(config === undefined || config.file === '' ? [] : [config.file]),
    ...filesOf(paths, groups),
  ];
  return {
    positionals: typed.positionals,
    units,
    date: dateOf(given, today),
    pipeline,
    sources: loaded.sources,
    inputs,
    valueFiles,
    sideFiles: [...valueFiles, ...new Set([...loaded.sources.values()].flatMap(moduleFile))],
    workers: inputs.workers ?? availableParallelism(),
    values,
    logSets: config?.logSets ?? new Map(),
    given,
  };
}

const groupOf = (plugin: Plugin): OptionGroup => ({ owner: plugin.name, options: plugin.options });

/** Today by the clock of this machine, which is what a user means. */
function localDay(now: Date): string {
  const pad = (value: number): string => String(value).padStart(2, '0');
  return `${now.getFullYear()}-${pad(now.getMonth() + 1)}-${pad(now.getDate())}`;
}

/** Values that follow a flag, as far as they can be told without knowing the other options. */
function scanFlag(argv: readonly string[], flag: string): string[] {
  return argv.flatMap((word, position) => {
    if (word === `--${flag}`) return argv[position + 1] === undefined ? [] : [argv[position + 1]];
    return word.startsWith(`--${flag}=`) ? [word.slice(flag.length + 3)] : [];
  });
}

async function configOf(argv: readonly string[]): Promise<Config | undefined> {
  const file = scanFlag(argv, 'config').at(-1);
  return file === undefined ? undefined : (await import('./read-config.ts')).readConfig(file);
}

/** The configuration with the options of the limit set that is asked for, which win over its others. */
function withLimits(config: Config | undefined, argv: readonly string[]): Config | undefined {
  const name = listOf(argv, config, 'limits').at(-1);
  if (name === undefined) return config;
  const set = config?.limitSets.get(name);
  if (config === undefined || set === undefined) {
    const known = [...(config?.limitSets.keys() ?? [])].join(', ');
    const expected =
      known === '' ? 'a set named under limit-sets in the file of --config' : `one of ${known}`;
    throw new Refusal([optionValue('--limits', name, expected)], 2);
  }
  return { ...config, given: [...config.given, ...set] };
}

/** The configuration with the options of the unit that is asked for, which win over it. */
async function withUnit(config: Config | undefined, argv: readonly string[]): Promise<Config | undefined> {
  const name = listOf(argv, config, 'unit').at(-1);
  if (name === undefined) return config;
  const { unitOptions } = await import('./unit-settings.ts');
  const given = await unitOptions(name);
  const base = config ?? EMPTY_CONFIG;
  return { ...base, given: [...base.given, ...given] };
}

const commandLinePlugins = (argv: readonly string[]): PluginReference[] =>
  scanFlag(argv, 'plugin').map((reference) => ({ reference, folder: process.cwd() }));

function configPlugins(config: Config | undefined): PluginReference[] {
  if (config === undefined) return [];
  const listed = config.given.filter(({ flag }) => flag === 'plugin').flatMap(({ texts }) => texts);
  return [...config.plugins, ...listed].map((reference) => ({ reference, folder: config.folder }));
}

function listOf(argv: readonly string[], config: Config | undefined, flag: string): string[] {
  const listed = (config?.given ?? []).filter((item) => item.flag === flag).flatMap(({ texts }) => texts);
  return [...listed, ...scanFlag(argv, flag)].flatMap((text) => text.split(',')).map((name) => name.trim());
}

/**
 * Settings of the configuration for this command, with paths relative to the working folder.
 *
 * Keys of other commands, and of plugins that this one does not run, are ignored.
 *
 * @param known Every plugin there is.
 * @throws Refusal (status 2) for a key that no command and no plugin knows.
 */
function configGiven(
  config: Config | undefined,
  settings: ReadonlyMap<string, Setting>,
  known: readonly Plugin[],
): Given[] {
  if (config === undefined) return [];
  const everywhere = collectSettings([
    ...CORE_GROUPS,
    ...Object.values(COMMAND_GROUPS).flat(),
    ...known.map(groupOf),
  ]);
  return config.given.flatMap((item) => {
    const setting = settings.get(item.flag);
    if (setting === undefined) {
      if (everywhere.has(item.flag)) return [];
      const [, file, line] = /\((.*?)(?::(\d+))?\)$/.exec(item.wording) ?? [];
      throw new Refusal(
        [
          configKey(
            file,
            line === undefined ? undefined : Number(line),
            item.flag,
            'an option of a command or plugin, "plugins" or "options"',
          ),
        ],
        2,
      );
    }
    if (!isPath(setting.definition)) return [item];
    return [{ ...item, texts: item.texts.map((text) => fromConfigFolder(config.folder, text)) }];
  });
}

function unitsOf(given: readonly Given[]): DisplayUnits {
  const last = given.filter(({ flag }) => flag === 'units').at(-1);
  if (last === undefined) return unitsOption.default;
  return parseOptionValue(unitsOption, last.wording, last.texts.at(-1) ?? '', 'm') as DisplayUnits;
}

function dateOf(given: readonly Given[], today: string): string {
  const last = given.filter(({ flag }) => flag === 'date').at(-1);
  const day =
    last === undefined
      ? today
      : (parseOptionValue(DATE_OPTION.date, last.wording, last.texts.at(-1) ?? '', 'm') as string);
  return day === 'today' ? today : day;
}

const moduleFile = (source: PluginSource): string[] =>
  'module' in source ? [fileURLToPath(source.module)] : [];

/** Paths of the `file` options. */
function filesOf(values: ResolvedValues, groups: readonly OptionGroup[]): string[] {
  const paths = groups.flatMap(({ owner, options }) =>
    Object.keys(options).flatMap((name) =>
      options[name].kind === 'file' ? [values.get(owner)?.[name]] : [],
    ),
  );
  return [...new Set(paths.filter((path) => typeof path === 'string'))];
}

/** Replaces the path of each `file` option with the content of the file, read once. */
async function readFiles(values: ResolvedValues, groups: readonly OptionGroup[]): Promise<ResolvedValues> {
  const contents = new Map<string, unknown>();
  const filled = new Map<string, Readonly<Record<string, unknown>>>();
  for (const [owner, options] of values) {
    const definitions = groups.find((group) => group.owner === owner)?.options ?? {};
    const content: Record<string, unknown> = { ...options };
    for (const [name, value] of Object.entries(options)) {
      const definition = definitions[name];
      if (definition?.kind !== 'file' || typeof value !== 'string') continue;
      const known =
        contents.get(value) ?? (definition.format === 'csv' ? await readCsv(value) : readJsonFile(value));
      contents.set(value, known);
      const problems =
        definition.format === 'csv'
          ? definition.check?.(known as CsvFile)
          : definition.check?.(known as JsonFile);
      if (problems?.some(({ severity }) => severity === 'error')) throw new Refusal(problems);
      content[name] = known;
    }
    filled.set(owner, content);
  }
  return filled;
}

const readCsv = async (file: string): Promise<CsvFile> =>
  (await import('../formats/csv/csv-file.ts')).readCsvFile(file);

function readJsonFile(file: string): JsonFile {
  let text: string;
  try {
    text = readFileSync(file, 'utf8').replace(/^\uFEFF/, '');
  } catch (cause) {
    const { code, message } = cause as NodeJS.ErrnoException;
    throw new Refusal([code === 'ENOENT' ? inputMissing(file) : inputUnreadable(file, code ?? message)]);
  }
  try {
    return { file, value: JSON.parse(text) };
  } catch (cause) {
    throw new Refusal([inputNotJson(file, (cause as Error).message)]);
  }
}
