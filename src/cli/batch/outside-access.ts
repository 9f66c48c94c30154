import { createHash } from 'node:crypto';
import {
  type Dirent,
  existsSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  realpathSync,
  statSync,
} from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { sortBy } from 'es-toolkit/array';
import { Refusal } from '../../../shared/contract/index.ts';
import { isPath } from '../../../shared/engine/index.ts';
import { fileMessages as says, configMessages as saysOfConfig } from '../../../shared/text/index.ts';
import {
  isBelow,
  LAKE_FOLDERS,
  readStateFile,
  realPathOf,
  specialKindOf,
  withLock,
  writeStateFile,
} from '../../files/index.ts';
import { BUILT_IN, resolvePluginModule } from '../../run/index.ts';
import { settingsOf, viewOptions } from '../command-options.ts';
import { type Config, EMPTY_CONFIG, type PluginReference, pluginsNamed, readConfig } from '../read-config.ts';
import { makeSettingsFolder, settingsFolder } from '../user-settings.ts';

export const LAKE_CONFIG = 'downslope.yaml';

/** Names of the inputs that a lake folder may hold besides its configuration. */
const LAYOUT = [...LAKE_FOLDERS, 'levels.csv', 'lures.csv'];

/** What a lake folder or a configuration needs beyond its own files. */
interface OutsideAccess {
  /**
   * Requests in words: plugins to run, paths outside the folder, links that lead out of it, addresses to
   * listen at.
   */
  readonly requests: readonly string[];
  /** SHA-256 of requests, configuration and scripts; empty for a configuration that requests nothing. */
  readonly content: string;
}

/** Matches the names of files that may be programs, and of package.json, which may name one. */
const SCRIPT = /(?:\.(?:[cm]?[jt]sx?|node|wasm)|^package\.json)$/i;

/**
 * Lists what a lake folder would run, and where it would read and write outside itself.
 *
 * A folder may come from someone else, so its requests need approval before anything in it runs.
 *
 * @throws Refusal for a configuration or folder that cannot be read, or for a pipe or device as an input or
 *   output.
 */
export async function outsideAccess(folder: string): Promise<OutsideAccess> {
  const home = realpathSync(folder);
  const file = join(folder, LAKE_CONFIG);
  const entries = entriesBelow(home);
  const links = linksOut(home, entries);
  refuseSpecial([...LAYOUT, LAKE_CONFIG].map((name) => join(folder, name)));
  const config = existsSync(file) ? readConfig(file) : EMPTY_CONFIG;
  refuseSpecial(pathsOf(config).map(({ text }) => resolve(folder, text)));
  const plugins = pluginsOf(config);
  const paths = pathsOutside(config, home);
  const content = await contentOf([plugins, paths, links], config, plugins, entries, home);
  return { requests: [...plugins.map(runs), ...paths, ...links], content };
}

/**
 * Lists what a configuration would run, where outside its folder it would write, and where it would listen.
 * If it has plugins, links that lead out of the folder are listed too.
 *
 * Reading outside the folder needs no approval, since logs are often kept elsewhere.
 *
 * @param typed Plugins named on the command line, which need no approval.
 * @throws Refusal for a pipe or a device as an input or output, or for a folder that cannot be searched.
 */
export async function configAccess(
  config: Config,
  typed: readonly PluginReference[],
): Promise<OutsideAccess> {
  const home = realpathSync(config.folder);
  refuseSpecial(pathsOf(config).map(({ text }) => resolve(config.folder, text)));
  const isTyped = (reference: string): boolean =>
    typed.some((one) => placeOf(one) === placeOf({ reference, folder: config.folder }));
  const plugins = pluginsOf(config).filter((reference) => !isTyped(reference));
  const paths = pathsOutside(config, home, true);
  const hosts = givenOf(config)
    .filter(({ flag, texts }) => flag === 'host' && texts.some((text) => text !== viewOptions.host.default))
    .map(({ texts }) => `listens at ${texts.join(', ')} (option host)`);
  const entries = plugins.length === 0 ? [] : entriesBelow(home);
  const requests = [...plugins.map(runs), ...paths, ...hosts, ...linksOut(home, entries)];
  if (requests.length === 0) return { requests, content: '' };
  return { requests, content: await contentOf(requests, config, plugins, entries, home) };
}

const runs = (reference: string): string => `runs the plugin ${reference}`;

const placeOf = ({ reference, folder }: PluginReference): string =>
  /^\.|^\//.test(reference) ? realPathOf(resolve(folder, reference)) : reference;

/** Hashes (SHA-256) the requests, the configuration, and the scripts that plugins are or may load. */
async function contentOf(
  requests: unknown,
  { file }: Config,
  plugins: readonly string[],
  entries: readonly Entry[],
  home: string,
): Promise<string> {
  const hash = createHash('sha256').update(JSON.stringify(requests));
  if (file !== EMPTY_CONFIG.file) hash.update(readFileSync(file));
  if (plugins.length > 0) {
    const own = entries.filter(isScript).map(({ path }) => path);
    for (const path of [...own, ...(await scriptsOutside(plugins, home))])
      hash.update(`\n${path}\n`).update(readFileSync(path));
  }
  return hash.digest('hex');
}

const givenOf = ({ given, sets }: Config): Config['given'] => [
  ...given,
  ...Object.values(sets).flatMap((named) => [...named.values()].flat()),
];

const pluginsOf = (config: Config): string[] => pluginsNamed(config, givenOf(config));

/** Lists paths in a configuration that lead out of its folder. @param areOutputs True for outputs only. */
function pathsOutside(config: Config, home: string, areOutputs = false): string[] {
  return pathsOf(config)
    .filter(({ isOutput }) => isOutput || !areOutputs)
    .filter(({ text }) => !isBelow(home, realPathOf(resolve(home, text))))
    .map(({ flag, text }) => `uses ${text} (option ${flag})`);
}

/** Lists the paths in built-in options of a configuration. Trust in a plugin covers its options. */
function pathsOf(config: Config): { flag: string; text: string; isOutput: boolean }[] {
  const flags = pathFlags();
  return givenOf(config).flatMap(({ flag, texts }) => {
    const path = flag === 'plugin' ? undefined : flags.get(flag);
    if (path === undefined) return [];
    return texts.filter((text) => text !== '-').map((text) => ({ flag, text, ...path }));
  });
}

/** Lists the flags whose values are paths. Path options of kind `text` are outputs, except `config`. */
export const pathFlags = (): ReadonlyMap<string, { readonly isOutput: boolean }> =>
  new Map(
    [...settingsOf(BUILT_IN).values()]
      .filter(({ definition }) => isPath(definition))
      .map(({ flag, definition }) => [flag, { isOutput: definition.kind === 'text' && flag !== 'config' }]),
  );

/** Refuses a pipe or a device as an input or output, since the run could wait for it forever. */
function refuseSpecial(paths: readonly string[]): void {
  for (const path of paths) {
    const kind = specialKindOf(path);
    if (kind !== undefined) throw new Refusal([says['read kind']({ file: path }, kind)]);
  }
}

const linksOut = (home: string, entries: readonly Entry[]): string[] =>
  entries.flatMap(({ path, entry }) => {
    if (!entry.isSymbolicLink()) return [];
    const target = realPathOf(resolve(dirname(path), readlinkSync(path)));
    return isBelow(home, target) ? [] : [`follows the link ${relative(home, path)} to ${target}`];
  });

interface Entry {
  readonly path: string;
  readonly entry: Dirent;
}

/** Returns true for a script or a link to a script. */
const isScript = ({ path, entry }: Entry): boolean =>
  SCRIPT.test(entry.name) && statSync(path, { throwIfNoEntry: false })?.isFile() === true;

/** Maximum number of files and folders searched for scripts and links; chosen: a lake has far fewer. */
const MAX_ENTRIES = 100_000;

/**
 * Lists everything in a folder and its subfolders, sorted by name in each folder. Links are not followed.
 *
 * @throws Refusal when a folder cannot be read, or for more than `MAX_ENTRIES` entries.
 */
function entriesBelow(home: string): Entry[] {
  const found: Entry[] = [];
  const add = (folder: string): void => {
    let entries: Dirent[];
    try {
      entries = readdirSync(folder, { withFileTypes: true });
    } catch (cause) {
      const { code } = cause as NodeJS.ErrnoException;
      throw new Refusal([says.read({ file: folder }, code ?? String(cause))]);
    }
    for (const entry of sortBy(entries, ['name'])) {
      if (found.length === MAX_ENTRIES)
        throw new Refusal([saysOfConfig['folder-full']({ file: home }, MAX_ENTRIES)], 2);
      const path = join(folder, entry.name);
      found.push({ path, entry });
      if (entry.isDirectory()) add(path);
    }
  };
  add(home);
  return found;
}

/** Lists the scripts in the folders of plugins outside `home`, since a plugin may load scripts beside it. */
async function scriptsOutside(references: readonly string[], home: string): Promise<string[]> {
  const folders = new Set<string>();
  for (const reference of references) {
    const module = await resolvePluginModule(reference, home).catch((cause: unknown) => {
      // A missing plugin runs nothing, and the run reports that it is missing.
      if (cause instanceof Refusal) return undefined;
      throw cause;
    });
    if (module === undefined) continue;
    const path = realpathSync(fileURLToPath(module));
    if (!isBelow(home, path)) folders.add(dirname(path));
  }
  return [...folders].flatMap((folder) =>
    entriesBelow(folder)
      .filter(isScript)
      .map(({ path }) => path),
  );
}

const MAX_BYTES = 16 << 20;

/** Returns the path of the approvals: outside lake folders, which somebody else may have made. */
const recordPath = (): string => join(settingsFolder(), 'trusted.json');

/** Reads the approvals: `content` of `OutsideAccess` by real path of the folder or configuration. */
function readRecord(): Record<string, string> {
  try {
    const record: unknown = JSON.parse(new TextDecoder().decode(readStateFile(recordPath(), MAX_BYTES)));
    return typeof record === 'object' && record !== null ? { ...record } : {};
  } catch {
    // Without a usable record nothing is approved, and each refusal names the command that approves.
    return {};
  }
}

/** Returns true when a folder or configuration requests nothing, or is approved in its present state. */
export const isTrusted = (folder: string, { requests, content }: OutsideAccess): boolean =>
  requests.length === 0 || readRecord()[realpathSync(folder)] === content;

/** Approves what a folder or a configuration requests now; without `reach`, withdraws the approval. */
export async function setTrust(folder: string, reach: OutsideAccess | undefined): Promise<void> {
  makeSettingsFolder();
  await withLock(join(settingsFolder(), 'writing'), async () => {
    const { [realpathSync(folder)]: _, ...others } = readRecord();
    const record = reach === undefined ? others : { ...others, [realpathSync(folder)]: reach.content };
    await writeStateFile(recordPath(), new TextEncoder().encode(`${JSON.stringify(record, undefined, 2)}\n`));
  });
}
