import { dirname, join } from 'node:path';
import { Refusal } from '../../shared/contract/index.ts';
import { inputNoFiles } from '../../shared/text/index.ts';
import { isFolder, isOwnOutput, readFolder } from '../files/index.ts';
import { writtenBefore } from '../run/index.ts';

/**
 * Files at the paths given by the user; folders are searched recursively.
 *
 * Outputs of earlier runs are ignored. Files in a folder are sorted by name, whatever order the file system has. `-`
 * stays `-`.
 *
 * @param extensions Lower-case, with the dot. They apply only within folders; a file named outright is always taken.
 * @param isWanted Checks the content of a file in a folder that has such an extension.
 * @param beside Other inputs of the run, where the record of outputs may be.
 * @throws Refusal for a path that does not exist or cannot be read, or for a folder without such files.
 */
export function expandPaths(
  paths: readonly string[],
  extensions: readonly string[],
  isWanted: (path: string) => boolean = () => true,
  beside: readonly string[] = [],
): string[] {
  const wasWritten = writtenBefore([...paths, ...beside].flatMap(foldersOf));
  const kinds = extensions.map((extension) => `*${extension}`).join(' or ');
  return paths.flatMap((path) => {
    if (path === '-' || !isFolder(path)) return [path];
    const found = filesBelow(path, extensions).filter((file) => isWanted(file) && !wasWritten(file));
    if (found.length === 0) throw new Refusal([inputNoFiles(path, kinds)]);
    return found;
  });
}

/** Folders that may hold the store of an input: its own folder and those below. */
function foldersOf(path: string): string[] {
  if (path === '-') return [];
  if (!isFolder(path)) return [dirname(path)];
  const below = readFolder(path).filter((entry) => entry.isDirectory() && !entry.name.startsWith('.'));
  return [path, ...below.flatMap(({ name }) => foldersOf(join(path, name)))];
}

function filesBelow(folder: string, extensions: readonly string[]): string[] {
  return readFolder(folder).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return filesBelow(path, extensions);
    const lower = entry.name.toLowerCase();
    return extensions.some((extension) => lower.endsWith(extension)) && !isOwnOutput(path) ? [path] : [];
  });
}
