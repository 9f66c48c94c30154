import { createHash } from 'node:crypto';
import { type Dirent, existsSync, readdirSync, readFileSync, readlinkSync, realpathSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Refusal } from '../../../shared/contract/index.ts';
import { inputUnreadable } from '../../../shared/text/index.ts';
import { oddKindOf } from '../../files/index.ts';
import { resolvePluginModule } from '../../run/index.ts';
import type { Config } from '../config.ts';
import { readConfig } from '../read-config.ts';
import { pathFlags } from './path-flags.ts';

/** Name of the configuration file that a batch reads in a lake folder. */
export const LAKE_CONFIG = 'downslope.yaml';

/** Names of what a lake folder may hold besides its configuration. */
const LAYOUT = ['waypoints', 'logs', 'tracks', 'levels.csv', 'lures.csv'] as const;

/** What a lake folder needs beyond its own files. */
export interface LakeReach {
  /** Requests in words: plugins to run, files outside the folder to use or write, links that lead outside. */
  readonly asks: readonly string[];
  /** SHA-256 of everything that determines what would run: configuration, scripts and link targets. */
  readonly content: string;
}

/** Files that may be a program or may name one. */
const SCRIPT = /(?:\.(?:[cm]?[jt]sx?|node|wasm)|^package\.json)$/i;

/**
 * What a lake folder would run, and where it would read and write outside itself; empty when it stays inside.
 *
 * A folder may come from someone else, so its requests need approval before anything in it runs.
 *
 * @throws Refusal for a configuration that cannot be read.
 */
export async function reachOf(folder: string): Promise<LakeReach> {
  const home = realpathSync(folder);
  const file = join(folder, LAKE_CONFIG);
  const entries = entriesBelow(home);
  const links = entries
    .filter(({ entry }) => entry.isSymbolicLink())
    .flatMap(({ path }) => leads(home, path));
  refuseOdd([...LAYOUT, LAKE_CONFIG].map((name) => join(folder, name)));
  const config = existsSync(file) ? readConfig(file) : undefined;
  if (config !== undefined) refuseOdd(pathsOf(config).map(({ text }) => resolve(folder, text)));
  const plugins = config === undefined ? [] : pluginsOf(config);
  const paths = config === undefined ? [] : pathsOutside(config, home);
  const hash = createHash('sha256');
  hash.update(JSON.stringify([plugins, paths, links]));
  if (config !== undefined) hash.update(readFileSync(file));
  if (plugins.length > 0) {
    const own = entries.filter(({ entry }) => isScript(entry)).map(({ path }) => path);
    for (const path of [...own, ...(await scriptsOutside(plugins, home))])
      hash.update(`\n${path}\n`).update(readFileSync(path));
  }
  const asks = [...plugins.map((reference) => `runs the plugin ${reference}`), ...paths, ...links];
  return { asks, content: hash.digest('hex') };
}

const givenOf = ({ given, limitSets, logSets }: Config): Config['given'] => [
  ...given,
  ...[...limitSets.values(), ...logSets.values()].flat(),
];

const pluginsOf = (config: Config): string[] => [
  ...config.plugins,
  ...givenOf(config).flatMap(({ flag, texts }) => (flag === 'plugin' ? texts : [])),
];

/** Paths in a configuration that lead out of its folder. */
function pathsOutside(config: Config, home: string): string[] {
  const outside = pathsOf(config).filter(({ text }) => !isInside(home, realPlace(resolve(home, text))));
  return outside.map(({ flag, text }) => `uses ${text} (${flag})`);
}

/** Paths that a configuration gives to our options. Paths of other plugins' options are requested with the plugin. */
function pathsOf(config: Config): { readonly flag: string; readonly text: string }[] {
  const flags = pathFlags();
  return givenOf(config)
    .filter(({ flag }) => flags.has(flag))
    .flatMap(({ flag, texts }) => texts.filter((text) => text !== '-').map((text) => ({ flag, text })));
}

/** Refuses a pipe or a device as an input or output, since whoever opens it would be kept waiting. */
function refuseOdd(paths: readonly string[]): void {
  for (const path of paths) {
    const kind = oddKindOf(path);
    if (kind !== undefined) throw new Refusal([inputUnreadable(path, `a ${kind}`)]);
  }
}

function leads(home: string, link: string): string[] {
  const target = realPlace(resolve(dirname(link), readlinkSync(link)));
  return isInside(home, target) ? [] : [`leads from ${relative(home, link)} to ${target}`];
}

const isInside = (home: string, path: string): boolean => path === home || path.startsWith(home + sep);

/** A path after following links. A path that does not exist yet is placed in the real location of its folder. */
function realPlace(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    return dirname(path) === path ? path : join(realPlace(dirname(path)), relative(dirname(path), path));
  }
}

interface Entry {
  readonly path: string;
  readonly entry: Dirent;
}

const isScript = (entry: Dirent): boolean => entry.isFile() && SCRIPT.test(entry.name);

/** Everything in a folder and its subfolders, by path; links are not followed. */
function entriesBelow(folder: string): Entry[] {
  let entries: Dirent[];
  try {
    entries = readdirSync(folder, { withFileTypes: true });
  } catch (cause) {
    throw new Refusal([inputUnreadable(folder, (cause as NodeJS.ErrnoException).code ?? String(cause))]);
  }
  entries.sort((a, b) => (a.name < b.name ? -1 : 1));
  return entries.flatMap((entry) => {
    const path = join(folder, entry.name);
    return [{ path, entry }, ...(entry.isDirectory() ? entriesBelow(path) : [])];
  });
}

/** Scripts beside plugins outside the folder, since they may load each other. */
async function scriptsOutside(references: readonly string[], home: string): Promise<string[]> {
  const folders = new Set<string>();
  for (const reference of references) {
    const module = await resolvePluginModule(reference, home).catch((cause: unknown) => {
      // A missing plugin runs nothing; the run itself reports it.
      if (cause instanceof Refusal) return undefined;
      throw cause;
    });
    if (module === undefined) continue;
    const path = realpathSync(fileURLToPath(module));
    if (!isInside(home, path)) folders.add(dirname(path));
  }
  return [...folders].flatMap((folder) =>
    entriesBelow(folder).flatMap(({ path, entry }) => (isScript(entry) ? [path] : [])),
  );
}
