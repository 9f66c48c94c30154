import { dirname, join } from 'node:path';
import { partition } from 'es-toolkit/array';
import { Refusal } from '../../shared/contract/index.ts';
import { inputMessages as says } from '../../shared/text/index.ts';
import { isDayLog } from '../day/index.ts';
import { headOfFile, isDownslopeOutput, isFolder, readFolder } from '../files/index.ts';
import { accepts, HEAD_BYTES, writtenBefore } from '../run/index.ts';
import type { ResolvedCommand } from './resolve-command.ts';

export interface InputFiles {
  readonly waypoints: readonly string[];
  readonly logs: readonly string[];
  readonly tracks: readonly string[];
}

/**
 * Finds the files at the paths of a command line.
 *
 * @param waypoints Waypoint files; by default, the files at the positional arguments.
 * @param moreLogs Paths of logs in addition to those of `--soundings`.
 * @throws Refusal in the same cases as `expandPaths`.
 */
export const findInputs = (
  command: ResolvedCommand,
  waypoints = expandPaths(command.positionals, GPX, undefined, command.inputs.soundings),
  moreLogs: readonly string[] = [],
): InputFiles => ({
  waypoints,
  logs: findLogs(command, moreLogs),
  tracks: expandPaths(command.inputs.tracks ?? [], GPX),
});

interface Wanted {
  /** Plural noun for messages. */
  readonly what: string;
  /** Lower-case, with the dot. */
  readonly extensions: readonly string[];
}

const GPX: Wanted = { what: 'GPX files', extensions: ['.gpx'] };

/** Finds the logs. Of the files in a folder, CSV and GPX files count, and files that a reader accepts. */
function findLogs({ inputs, pipeline, positionals }: ResolvedCommand, more: readonly string[]): string[] {
  const readers = pipeline.reader.map(({ plugin }) => plugin);
  const known = ['.csv', '.gpx'];
  const isLog = (path: string): boolean => {
    if (known.some((extension) => path.toLowerCase().endsWith(extension))) return true;
    const head = headOfFile(path, HEAD_BYTES);
    return readers.some((reader) => accepts(reader, head, path));
  };
  const extensions = [...new Set([...known, ...readers.flatMap((reader) => reader.extensions)])];
  const wanted = { what: 'sonar logs', extensions };
  return expandPaths([...more, ...(inputs.soundings ?? [])], wanted, isLog, positionals);
}

/** Finds logs of fished stops: files named outright, and files in a folder that `isDayLog` recognizes. */
export const findDayLogs = (paths: readonly string[]): string[] =>
  expandPaths(
    paths,
    { what: 'logs of stops with fish', extensions: ['.csv', '.log', '.txt', '.gpx'] },
    isDayLog,
  );

/**
 * Finds the files at the paths given by the user, also in subfolders of a folder. The files of each folder
 * are sorted by name. Outputs of earlier runs in folders are ignored. A path `-` stays `-`.
 *
 * @param wanted A file named outright is taken whatever its extension.
 * @param isWanted Checks the content of each file in a folder that has one of the extensions.
 * @param beside Other inputs of the run, whose folders may hold records of earlier outputs.
 * @throws Refusal for a path that does not exist or cannot be read, or for a folder without such a file.
 */
export function expandPaths(
  paths: readonly string[],
  { what, extensions }: Wanted,
  isWanted: (path: string) => boolean = () => true,
  beside: readonly string[] = [],
): string[] {
  const trees = new Map([...paths, ...beside].map((path) => [path, treeOf(path)]));
  const wasWritten = writtenBefore([...trees.values()].flatMap(({ folders }) => folders));
  const isNamed = (file: string): boolean =>
    extensions.some((extension) => file.toLowerCase().endsWith(extension));
  return paths.flatMap((path) => {
    if (path === '-' || !isFolder(path)) return [path];
    const [own, rest] = partition(
      trees.get(path)!.files.filter(isNamed),
      (file) => isDownslopeOutput(file) || wasWritten(file),
    );
    const found = rest.filter(isWanted);
    if (found.length > 0) return found;
    const isOwn = own.length > 0 && rest.length === 0;
    throw new Refusal([says[isOwn ? 'no-files own' : 'no-files']({ file: path }, what)]);
  });
}

interface Tree {
  /** Folders that may hold records of earlier runs: the folder of the input and its subfolders. */
  readonly folders: string[];
  /** All files in the folder and its subfolders, sorted by name in each folder. */
  readonly files: string[];
}

function treeOf(path: string, tree: Tree = { folders: [], files: [] }): Tree {
  if (path === '-') return tree;
  if (!isFolder(path)) return { ...tree, folders: [dirname(path)] };
  tree.folders.push(path);
  for (const entry of readFolder(path)) {
    const below = join(path, entry.name);
    if (entry.isDirectory()) treeOf(below, tree);
    else tree.files.push(below);
  }
  return tree;
}
