import { constants } from 'node:fs';
import * as files from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { Refusal } from '../../shared/contract/index.ts';
import { fileMessages as says } from '../../shared/text/index.ts';
import { codeOf, type OutputTarget } from './output-target.ts';
import {
  removeStaleFiles,
  type TemporaryFiles,
  temporaryName,
  watchTemporaryFiles,
} from './temporary-files.ts';

/** File system calls that tests replace with failing calls. */
export type FileSystem = Pick<
  typeof files,
  'open' | 'rename' | 'rm' | 'copyFile' | 'readdir' | 'stat' | 'statfs'
>;

/** Maximum number of bytes written or read back in one call. */
const PORTION = 1 << 20;
/** Maximum file size on FAT32, bytes. */
const FAT_LIMIT = 2 ** 32 - 1;
/** File system type that Linux reports for FAT. */
const FAT = 0x4d44;
/** Maximum wait, on Windows, for another program that holds the old file open, ms. */
const RENAME_PATIENCE = 5000;

/**
 * Writes a file completely or not at all: temporary file in the same folder, fsync, read back, rename.
 *
 * Standard output is written directly, and writing ends quietly when the reader of the stream has gone.
 * Temporary files left in the folder by killed runs are removed.
 *
 * @throws Refusal with the path and the reason; the old file is then unchanged.
 */
export const writeAtomically = (
  target: OutputTarget,
  bytes: Uint8Array,
  system: FileSystem = files,
): Promise<void> => writeTogether([{ target, bytes }], undefined, system);

export interface Write {
  readonly target: OutputTarget;
  readonly bytes: Uint8Array;
}

/**
 * Writes several files, each like `writeAtomically`. All temporary files are complete before the first is
 * renamed, and a signal removes them.
 *
 * @param beforeRenaming Runs when all temporary files are complete. If it fails, all old files stay.
 * @throws Refusal with the path and the reason. Old files are then unchanged, except files replaced before a
 * later rename or backup failed.
 */
export async function writeTogether(
  writes: readonly Write[],
  beforeRenaming?: () => Promise<void>,
  system: FileSystem = files,
): Promise<void> {
  const temporary = watchTemporaryFiles();
  const toFiles = writes.filter(({ target }) => target.realPath !== '-');
  const folders = new Set(toFiles.map(({ target }) => dirname(target.realPath)));
  const staged: Staged[] = [];
  try {
    for (const folder of folders) await removeStaleFiles(folder, system);
    for (const write of toFiles) staged.push(await stage(write, temporary, system));
    for (const { target, bytes } of writes) if (target.realPath === '-') await writeStandardOutput(bytes);
    await beforeRenaming?.();
    for (const file of staged) await putInPlace(file, system);
    // Makes the renames durable, where the file system supports this.
    for (const folder of folders) await sync(folder, 'r', system).catch(() => undefined);
  } finally {
    await temporary.stop();
  }
}

/** A file written under its temporary name. */
interface Staged extends Write {
  readonly path: string;
}

async function stage(write: Write, temporary: TemporaryFiles, system: FileSystem): Promise<Staged> {
  await refuseTooLong(write, system);
  const path = join(dirname(write.target.realPath), temporaryName(process.pid));
  try {
    await writeTemporary({ ...write, path }, temporary, system);
    await readBack({ ...write, path }, system);
    return { ...write, path };
  } catch (error) {
    throw asRefusal(error, write.target);
  }
}

async function putInPlace({ path, target }: Staged, system: FileSystem): Promise<void> {
  let backup: string | undefined;
  try {
    if (target.backup !== undefined) {
      await system.copyFile(target.realPath, target.backup, constants.COPYFILE_EXCL);
      backup = target.backup;
      await sync(backup, 'r+', system);
    }
    await renameWithPatience(path, target.realPath, system);
  } catch (error) {
    if (backup !== undefined) await system.rm(backup, { force: true }).catch(() => undefined);
    throw asRefusal(error, target);
  }
}

const asRefusal = (error: unknown, { path }: OutputTarget): Refusal =>
  error instanceof Refusal
    ? error
    : new Refusal([says.write({ file: path }, codeOf(error), adviceFor(codeOf(error)))]);

async function writeTemporary(
  { path, bytes, target: { replaced } }: Staged,
  temporary: TemporaryFiles,
  system: FileSystem,
): Promise<void> {
  const handle = await temporary.create(path, () => system.open(path, 'wx', replaced?.mode ?? 0o666));
  try {
    for (let at = 0; at < bytes.length; ) {
      const { bytesWritten } = await handle.write(bytes, at, Math.min(PORTION, bytes.length - at));
      at += bytesWritten;
    }
    if (replaced !== undefined) {
      // Only the superuser may change owners, and files on cards have no owner, so failures are ignored.
      await handle.chown(replaced.uid, replaced.gid).catch(() => undefined);
      await handle.chmod(replaced.mode).catch(() => undefined);
    }
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** Refuses a temporary file whose content, read back, differs from what was written. */
async function readBack({ path, bytes, target }: Staged, system: FileSystem): Promise<void> {
  const handle = await system.open(path, 'r');
  try {
    const buffer = Buffer.alloc(Math.min(PORTION, bytes.length + 1));
    let at = 0;
    for (let isSame = true; isSame; ) {
      const { bytesRead } = await handle.read(buffer, 0, buffer.length, at);
      isSame = bytesRead > 0 && buffer.subarray(0, bytesRead).equals(bytes.subarray(at, at + bytesRead));
      if (isSame) at += bytesRead;
    }
    if (at !== bytes.length || (await handle.stat()).size !== bytes.length) {
      throw new Refusal([says['read-back']({ file: target.path })]);
    }
  } finally {
    await handle.close();
  }
}

async function renameWithPatience(from: string, to: string, system: FileSystem): Promise<void> {
  const end = process.platform === 'win32' ? RENAME_PATIENCE : 0;
  for (let waited = 0; ; waited += 100) {
    try {
      await system.rename(from, to);
      return;
    } catch (error) {
      if (waited >= end || !['EPERM', 'EBUSY', 'EACCES'].includes(codeOf(error))) throw error;
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
  }
}

async function sync(path: string, flags: string, system: FileSystem): Promise<void> {
  const handle = await system.open(path, flags);
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

async function refuseTooLong({ target, bytes: { length } }: Write, system: FileSystem): Promise<void> {
  if (length <= FAT_LIMIT) return;
  const stats = await system.statfs(dirname(target.realPath)).catch(() => undefined);
  if (stats?.type === FAT) throw new Refusal([says['too-long']({ file: target.path }, length)]);
}

function adviceFor(code: string): string {
  if (code === 'ENOSPC' || code === 'EDQUOT') return 'Make room, or write to another disk.';
  if (code === 'EBUSY') return 'Close that program, and run again.';
  if (code === 'ENAMETOOLONG') return 'Give it a shorter name.';
  if (code === 'ENOENT') return 'Check that its folder is still there, and run again.';
  if (code === 'EROFS' || code === 'EACCES' || code === 'EPERM') return 'Write to another folder.';
  return 'Write to another disk.';
}

/** Resolves once the bytes are written or the reader has closed the stream. */
async function writeStandardOutput(bytes: Uint8Array): Promise<void> {
  const { stdout } = process;
  // A failure also arrives as an event, which must not end the process.
  stdout.on('error', () => {});
  const error = await new Promise<Error | null | undefined>((resolve) => stdout.write(bytes, resolve));
  if (error === undefined || error === null || codeOf(error) === 'EPIPE') return;
  throw new Refusal([
    says['write standard-output']({ file: 'standard output' }, codeOf(error), adviceFor(codeOf(error))),
  ]);
}
