import { closeSync, constants, fstatSync, lstatSync, mkdirSync, openSync, readFileSync } from 'node:fs';
import { basename, dirname } from 'node:path';
import { writeAtomically } from './atomic-write.ts';
import { checkTarget, codeOf, kindOf } from './output-target.ts';

/** Returns flags to open a file without following links or waiting for pipes, where supported. */
const asItIs = (): number => constants.O_RDONLY | (constants.O_NOFOLLOW ?? 0) | (constants.O_NONBLOCK ?? 0);

/**
 * Reads a file that the program keeps in its own folder; undefined when there is none.
 *
 * @param maxBytes Maximum length accepted, bytes.
 * @throws Error saying what is there instead, such as a link, a pipe, a folder or a longer file.
 */
export function readStateFile(path: string, maxBytes: number): Uint8Array | undefined {
  if (!isThere(dirname(path), 'folder') || !isThere(path, 'file')) return undefined;
  const descriptor = openSync(path, asItIs());
  try {
    const stats = fstatSync(descriptor);
    if (!stats.isFile()) throw new Error(`${basename(path)} is a ${kindOf(stats)}`);
    if (stats.size > maxBytes) throw new Error(`it is longer than ${Math.round(maxBytes / 2 ** 20)} MiB`);
    return readFileSync(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

/**
 * Writes one of the program's own files, completely or not at all. Makes its folder if missing.
 *
 * @throws Error when something else is in the place of the file or folder, or when the folder cannot be made.
 * @throws Refusal when the file cannot be written.
 */
export async function writeStateFile(path: string, bytes: Uint8Array): Promise<void> {
  makeStateFolder(dirname(path));
  isThere(path, 'file');
  await writeAtomically(checkTarget(path, { force: true }), bytes);
}

/** Makes one of the program's own folders if missing. @throws Error saying why this is not possible. */
export function makeStateFolder(folder: string): void {
  if (isThere(folder, 'folder')) return;
  try {
    mkdirSync(folder);
  } catch (cause) {
    // Another run may have made the folder in the meantime.
    if (codeOf(cause) !== 'EEXIST' || !isThere(folder, 'folder')) throw cause;
  }
}

/** True for an entry of the wanted kind, false when there is no entry. @throws Error naming another kind. */
function isThere(path: string, wanted: 'file' | 'folder'): boolean {
  const stats = lstatSync(path, { throwIfNoEntry: false });
  if (stats === undefined) return false;
  const kind = kindOf(stats);
  if (kind !== wanted) throw new Error(`${basename(path)} is a ${kind}`);
  return true;
}
