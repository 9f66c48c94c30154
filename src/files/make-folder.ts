import { lstatSync, mkdirSync, readlinkSync, type Stats, statSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { Refusal } from '../../shared/diagnostics/diagnostic.ts';
import * as says from '../../shared/diagnostics/files.ts';
import { codeOf } from './output-target.ts';

/**
 * Makes a folder of outputs, and those above it, where they are missing.
 *
 * One at a time: Node's own recursive way does not come back where the system says of a folder in an existing
 * one that it is not there, as under /proc.
 *
 * @param path The output that needs it, as the person gave it.
 * @throws Refusal naming the output and what stands in the way.
 */
export function makeFolder(folder: string, path: string): void {
  const full = resolve(folder);
  const stats = statOf(full, path);
  if (stats?.isDirectory()) return;
  if (stats !== undefined) throw new Refusal([says.notAFolder(path, folder)]);
  const link = linkAt(full);
  if (link !== undefined) throw new Refusal([says.folderLinkDangles(path, folder, link)]);
  if (dirname(full) === full) throw new Refusal([says.noDirectory(path, folder)]);
  makeFolder(dirname(full), path);
  try {
    mkdirSync(full);
  } catch (error) {
    // Another run may have made it in the meantime.
    if (statOf(full, path)?.isDirectory()) return;
    throw new Refusal([says.folderNotMade(path, folder, codeOf(error))]);
  }
}

function statOf(full: string, path: string): Stats | undefined {
  try {
    return statSync(full, { throwIfNoEntry: false });
  } catch (error) {
    if (codeOf(error) === 'ENOTDIR') return undefined;
    throw new Refusal([says.folderNotMade(path, full, codeOf(error))]);
  }
}

/** Where a link leads that leads nowhere. */
function linkAt(full: string): string | undefined {
  try {
    return lstatSync(full).isSymbolicLink() ? readlinkSync(full) : undefined;
  } catch {
    return undefined;
  }
}
