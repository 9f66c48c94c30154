import { createHash } from 'node:crypto';
import { type Dirent, existsSync, readdirSync, readFileSync, readlinkSync, realpathSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Refusal } from '../../../shared/contract/index.ts';
import { inputUnreadable } from '../../../shared/text/index.ts';
import { resolvePluginModule } from '../../run/index.ts';
import type { Config } from '../config.ts';
import { readConfig } from '../read-config.ts';
import { pathFlags } from './path-flags.ts';

/** The configuration that a batch takes from a lake folder. */
export const LAKE_CONFIG = 'downslope.yaml';

/** What a lake folder needs beyond its own files. */
export interface LakeReach {
  /** Plugins that would run, files outside that would be used or written, links that lead outside; in words. */
  readonly asks: readonly string[];
  /** SHA-256 of everything that decides what would run: configuration, scripts and targets of links. */
  readonly content: string;
}

/** Files that may be a program or name one. */
const SCRIPT = /(?:\.(?:[cm]?[jt]sx?|node|wasm)|^package\.json)$/i;

/**
 * What a lake folder would run, and where outside itself it would read and write; empty for one that stays inside.
 *
 * A folder may come from somebody else, so its requests need approval before anything in it runs.
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
  const config = existsSync(file) ? readConfig(file) : undefined;
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

/** Paths in a configuration that lead out of its folder. Options of plugins that are not ours come with a plugin. */
function pathsOutside(config: Config, home: string): string[] {
  const flags = pathFlags();
  return givenOf(config).flatMap(({ flag, texts }) => {
    if (!flags.has(flag)) return [];
    const outside = texts.filter((text) => text !== '-' && !isInside(home, realPlace(resolve(home, text))));
    return outside.map((text) => `uses ${text} (${flag})`);
  });
}

function leads(home: string, link: string): string[] {
  const target = realPlace(resolve(dirname(link), readlinkSync(link)));
  return isInside(home, target) ? [] : [`leads from ${relative(home, link)} to ${target}`];
}

const isInside = (home: string, path: string): boolean => path === home || path.startsWith(home + sep);

/** A path with the links in it followed; what is not there yet is placed where its folder really is. */
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

/** Everything in a folder and below, by path; links are not followed. */
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

/** Scripts beside plugins outside the folder, which may load each other. */
async function scriptsOutside(references: readonly string[], home: string): Promise<string[]> {
  const folders = new Set<string>();
  for (const reference of references) {
    const module = await resolvePluginModule(reference, home).catch((cause: unknown) => {
      // A missing one runs nothing; the run itself will say so.
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
