import { mkdirSync, readlinkSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { Refusal } from '../../shared/contract/index.ts';
import { fileMessages as says } from '../../shared/text/index.ts';
import { refuseLinkOut } from './link-out.ts';
import { codeOf, inputFolders, lstatOf, statOf, type TargetOptions } from './output-target.ts';

/**
 * Makes a folder for outputs, and its parents, if missing.
 *
 * Folders are made one at a time, because Node's recursive form never returns when the system denies that a parent
 * exists, as under /proc.
 *
 * @param path The output that needs the folder, as the user gave it.
 * @throws Refusal naming the output and the obstacle.
 */
export function makeFolder(
  folder: string,
  path: string,
  targets: Pick<TargetOptions, 'inputs' | 'sources'>,
): void {
  refuseLinkOut(folder, inputFolders(targets));
  makeMissing(folder, path);
}

function makeMissing(folder: string, path: string): void {
  const full = resolve(folder);
  const stats = statOf(full, path);
  if (stats?.isDirectory()) return;
  if (stats !== undefined) throw new Refusal([says['not-a-folder']({ file: path }, folder)]);
  if (lstatOf(full)?.isSymbolicLink())
    throw new Refusal([says['dangling-link folder']({ file: path }, folder, readlinkSync(full))]);
  if (dirname(full) === full) throw new Refusal([says['no-directory']({ file: path }, folder)]);
  makeMissing(dirname(full), path);
  try {
    mkdirSync(full);
  } catch (error) {
    // Another run may have made the folder in the meantime.
    if (statOf(full, path)?.isDirectory()) return;
    throw new Refusal([says['no-directory not-made']({ file: path }, folder, codeOf(error))]);
  }
}
