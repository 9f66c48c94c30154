import {
  accessSync,
  constants,
  lstatSync,
  mkdirSync,
  readlinkSync,
  realpathSync,
  type Stats,
  statSync,
} from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { Refusal, switchOption } from '../../shared/contract/index.ts';
import { fileMessages as says } from '../../shared/text/index.ts';
import { type FileIdentity, identityOf, isUnchanged } from './identity.ts';
import { inputFolders, type RunInputs, refuseLinkOut } from './link-out.ts';

/** Option shared by commands that write outputs. */
export const forceOption = switchOption('force', 'Replace output files that already exist.');

export interface TargetOptions extends RunInputs {
  readonly force: boolean;
  /** Whether the target may be one of the inputs, with a backup; absent if the command never allows it. */
  readonly inPlace?: boolean;
  /** Identity of each input before it was read. An input that has changed since is not replaced. */
  readonly asRead?: ReadonlyMap<string, FileIdentity | undefined>;
}

/** A path that has been checked for writing. */
export interface OutputTarget {
  /** Path as the user gave it; `-` is standard output. */
  readonly path: string;
  /** Path after following links; `-` for standard output. */
  readonly realPath: string;
  /** Path of the backup of a replaced input, with `inPlace`. */
  readonly backup?: string;
  /** Mode and owner of the file to be replaced, which the new file keeps. */
  readonly replaced?: { readonly mode: number; readonly uid: number; readonly gid: number };
}

/**
 * Checks that an output may be written.
 *
 * @throws Refusal naming the path, the obstacle and what to do.
 */
export const checkTarget = (path: string, options: TargetOptions): OutputTarget =>
  checkIn(path, options, inputFolders(options));

function checkIn(path: string, options: TargetOptions, folders: () => readonly string[]): OutputTarget {
  if (path === '-') return { path, realPath: '-' };
  refuseLinkOut(path, folders);
  const realPath = followLinks(path);
  checkDirectory(path, dirname(realPath));
  const existing = statOf(realPath, path);
  if (existing === undefined) return { path, realPath };
  if (!existing.isFile()) throw new Refusal([says['not-a-file']({ file: path }, kindOf(existing))]);
  const source = options.sources?.find((candidate) => isSameFile(candidate, existing));
  if (source !== undefined) throw new Refusal([says['is-input source']({ file: path }, source)]);
  const input = options.inputs?.find((candidate) => isSameFile(candidate, existing));
  if (input !== undefined && !options.inPlace) {
    const key = options.inPlace === undefined ? 'is-input source' : 'is-input';
    throw new Refusal([says[key]({ file: path }, input)]);
  }
  if (input === undefined && !options.force) throw new Refusal([says.exists({ file: path })]);
  if (input !== undefined && options.asRead?.has(input) === true)
    if (!isUnchanged(options.asRead.get(input), identityOf(input)))
      throw new Refusal([says['changed since']({ file: input })]);
  checkWritable(path, realPath, 'file', existing);
  const replaced = { mode: existing.mode & 0o7777, uid: existing.uid, gid: existing.gid };
  return { path, realPath, replaced, ...(input === undefined ? {} : { backup: freeBackup(realPath) }) };
}

/**
 * Checks all outputs of a run.
 *
 * @throws Refusal as `checkTarget` does, and when two outputs are the same file.
 */
export function checkTargets(paths: readonly string[], options: TargetOptions): OutputTarget[] {
  const folders = inputFolders(options);
  const targets = paths.map((path) => checkIn(path, options, folders));
  targets.forEach(({ path, realPath }, index) => {
    const other = targets.slice(0, index).find((before) => before.realPath === realPath);
    if (other?.path === path) throw new Refusal([says['same-target']({ file: path })]);
    if (other !== undefined) throw new Refusal([says['same-target linked']({ file: path }, other.path)]);
  });
  return targets;
}

/** Returns the path after following links; the last part need not exist. */
function followLinks(path: string): string {
  const isLink = lstatOf(path)?.isSymbolicLink() === true;
  try {
    if (isLink) return realpathSync(path);
  } catch {
    throw new Refusal([says['dangling-link']({ file: path }, readlinkSync(path))]);
  }
  const full = resolve(path);
  try {
    return join(realpathSync(dirname(full)), basename(full));
  } catch {
    const folder = dirname(path);
    throw new Refusal([
      lstatOf(folder)?.isSymbolicLink()
        ? says['dangling-link folder']({ file: path }, folder, readlinkSync(folder))
        : says['no-directory']({ file: path }, folder),
    ]);
  }
}

function checkDirectory(path: string, directory: string): void {
  const stats = statOf(directory, path);
  if (stats === undefined) throw new Refusal([says['no-directory']({ file: path }, directory)]);
  if (!stats.isDirectory()) throw new Refusal([says['not-a-folder']({ file: path }, directory)]);
  checkWritable(path, directory, 'folder', stats);
}

/**
 * Makes a folder for outputs, and its parents, if missing.
 *
 * Folders are made one at a time, because Node's recursive form never returns when the system denies that a
 * parent exists, as under /proc.
 *
 * @param path The output that needs the folder, as the user gave it.
 * @throws Refusal naming the output and the obstacle.
 */
export function makeFolder(folder: string, path: string, run: RunInputs): void {
  refuseLinkOut(folder, inputFolders(run));
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

/** Refuses a file or folder that is not writable. A read-only mode counts even for the superuser. */
function checkWritable(path: string, realPath: string, what: string, { mode }: Stats): void {
  if ((mode & 0o222) === 0) throw new Refusal([says['not-writable']({ file: path }, what, 'read-only')]);
  try {
    accessSync(realPath, constants.W_OK);
  } catch (error) {
    throw new Refusal([says['not-writable']({ file: path }, what, codeOf(error))]);
  }
}

/** Returns the state of a file, following links; undefined if missing. @param path The output, for errors. */
export const statOf = (realPath: string, path: string): Stats | undefined =>
  look(() => statSync(realPath, { throwIfNoEntry: false }), path);

const lstatOf = (path: string): Stats | undefined =>
  look(() => lstatSync(path, { throwIfNoEntry: false }), path);

function look(stat: () => Stats | undefined, path: string): Stats | undefined {
  try {
    return stat();
  } catch (error) {
    // ENOTDIR: a parent in the path is a file, so there is nothing at the path.
    if (codeOf(error) === 'ENOTDIR') return undefined;
    throw new Refusal([says['not-writable path']({ file: path }, codeOf(error))]);
  }
}

/** True when a path leads to the file, even by another spelling, a link or a hard link. */
function isSameFile(path: string, { dev, ino }: Stats): boolean {
  if (path === '-') return false;
  try {
    const stats = statSync(path, { throwIfNoEntry: false });
    return stats !== undefined && stats.dev === dev && stats.ino === ino;
  } catch {
    return false;
  }
}

/** Returns the first free name of `NAME.bak`, `NAME.bak2`, ... Earlier backups are never replaced. */
function freeBackup(realPath: string): string {
  for (let n = 1; ; n++) {
    const backup = `${realPath}.bak${n === 1 ? '' : n}`;
    if (lstatOf(backup) === undefined) return backup;
  }
}

export function kindOf(stats: Stats): string {
  if (stats.isFile()) return 'file';
  if (stats.isSymbolicLink()) return 'link';
  if (stats.isDirectory()) return 'folder';
  if (stats.isFIFO()) return 'pipe';
  if (stats.isSocket()) return 'socket';
  return 'device';
}

/** Returns the system's short code of an error, such as ENOSPC, or else the error as text. */
export const codeOf = (error: unknown): string => (error as NodeJS.ErrnoException).code ?? String(error);
