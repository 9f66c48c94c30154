import { type Dirent, readdirSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { type Diagnostic, Refusal } from '../../shared/contract/index.ts';
import { fileMessages as says, inputMessages as saysOfInput } from '../../shared/text/index.ts';
import { codeOf, kindOf } from './output-target.ts';

/** Folders that operating systems make on memory cards and disks. */
const OF_THE_SYSTEM = ['System Volume Information', '$RECYCLE.BIN', 'lost+found'];

/**
 * Lists the files, folders and links in a folder, sorted by name. Hidden entries, system folders and links to
 * pipes, sockets or devices are left out.
 *
 * @throws Refusal naming the folder when it cannot be read.
 */
export function readFolder(folder: string): Dirent[] {
  try {
    const entries = readdirSync(folder, { withFileTypes: true });
    const own = entries.filter(
      (entry) =>
        isReadable(folder, entry) && !entry.name.startsWith('.') && !OF_THE_SYSTEM.includes(entry.name),
    );
    return own.sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
  } catch (cause) {
    throw new Refusal([unreadable(folder, codeOf(cause))]);
  }
}

/**
 * False for a pipe, socket or device, where reading could wait forever. True for a dangling link, so that the
 * fault is reported when the link is read.
 */
function isReadable(folder: string, entry: Dirent): boolean {
  if (!entry.isSymbolicLink()) return entry.isFile() || entry.isDirectory();
  return specialKindOf(join(folder, entry.name)) === undefined;
}

/** Returns the kind of a pipe, socket or device, following links; undefined for anything else. */
export function specialKindOf(path: string): string | undefined {
  try {
    const stats = statSync(path);
    return stats.isFile() || stats.isDirectory() ? undefined : kindOf(stats);
  } catch {
    return undefined;
  }
}

/** Like `specialKindOf`, but undefined below `/dev` and `/proc`, where a shell's `<(...)` is. */
export const specialFileOf = (path: string): string | undefined =>
  /^\/(?:dev|proc)\//.test(resolve(path)) ? undefined : specialKindOf(path);

/** True when an input is a folder. @throws Refusal naming the input when it is missing or cannot be read. */
export function isFolder(path: string): boolean {
  try {
    return statSync(path).isDirectory();
  } catch (cause) {
    throw new Refusal([unreadable(path, codeOf(cause))]);
  }
}

const unreadable = (file: string, code: string): Diagnostic =>
  code === 'ENOENT' || code === 'ENOTDIR' ? saysOfInput.missing({ file }) : says.read({ file }, code);
