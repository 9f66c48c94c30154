import { lstatSync, realpathSync, statSync } from 'node:fs';
import { basename, dirname, join, relative, resolve, sep } from 'node:path';
import { once } from 'es-toolkit/function';
import { Refusal } from '../../shared/contract/index.ts';
import { fileMessages as says } from '../../shared/text/index.ts';

/** Names of the input folders inside a lake folder. */
export const LAKE_FOLDERS: readonly string[] = ['waypoints', 'logs', 'tracks'];

/**
 * Refuses an output behind a link that lies in a folder of the run's inputs and leads out of the folder. The
 * folder may come from someone else. Links elsewhere were made by the user and are followed.
 *
 * @param path The output, which need not exist yet.
 * @param homes Folders of the run's inputs, from `inputFolders`.
 * @throws Refusal naming the link and its target.
 */
export function refuseLinkOut(path: string, homes: () => readonly string[]): void {
  for (const link of linksTo(resolve(path))) {
    const place = realPathOf(dirname(link));
    const target = realPathOf(link);
    if (homes().some((home) => isBelow(home, place) && !isBelow(home, target)))
      throw new Refusal([says['link-leads-out']({ file: path }, link, target)]);
  }
}

/** True for the folder itself and everything below it. Both paths must be real paths. */
export const isBelow = (folder: string, path: string): boolean =>
  path === folder || path.startsWith(folder.endsWith(sep) ? folder : folder + sep);

/** Returns a path after following links. Parts of the path that do not exist yet are kept. */
export function realPathOf(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    return dirname(path) === path ? path : join(realPathOf(dirname(path)), relative(dirname(path), path));
  }
}

function linksTo(path: string): string[] {
  const above = dirname(path) === path ? [] : linksTo(dirname(path));
  return isLink(path) ? [...above, path] : above;
}

function isLink(path: string): boolean {
  try {
    return lstatSync(path).isSymbolicLink();
  } catch {
    return false;
  }
}

/** Paths that a run reads; `-` is standard input. */
export interface RunInputs {
  /** Paths of the inputs that may be written back. */
  readonly inputs?: readonly string[];
  /** Paths of other files and folders that the run reads. None of these is ever replaced. */
  readonly sources?: readonly string[];
}

/**
 * Returns a function that finds the real paths of the folders of the inputs, of the lake folders above these
 * folders, and of the nearest folder that holds all of these.
 */
export const inputFolders = ({ inputs = [], sources = [] }: RunInputs): (() => readonly string[]) =>
  once(() => {
    const named = new Set([...inputs, ...sources].filter((path) => path !== '-').map(folderOf));
    const folders = [...named].map((path) => realPathOf(resolve(path)));
    const lakes = folders.filter((folder) => LAKE_FOLDERS.includes(basename(folder))).map(dirname);
    const homes = [...new Set([...folders, ...lakes])];
    let common = homes[0];
    while (common !== undefined && !homes.every((home) => isBelow(common, home))) common = dirname(common);
    return common === undefined ? [] : [...homes, common];
  });

const folderOf = (path: string): string =>
  statSync(path, { throwIfNoEntry: false })?.isDirectory() ? path : dirname(path);
