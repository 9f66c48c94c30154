import type * as files from 'node:fs/promises';
import { join } from 'node:path';

/**
 * Longest time that a temporary file of a running process is kept, ms. After that, its process ID may belong to
 * another.
 */
const OLDEST = 24 * 3600 * 1000;

/** Removes temporary files that killed runs left in a directory. */
export async function removeStaleFiles(
  directory: string,
  system: Pick<typeof files, 'readdir' | 'rm' | 'stat'>,
): Promise<void> {
  const names = await system.readdir(directory).catch(() => [] as string[]);
  for (const name of names) {
    const pid = /^\.downslope-(\d+)-[0-9a-f]{8}\.tmp$/.exec(name)?.[1];
    if (pid === undefined) continue;
    const path = join(directory, name);
    if (isRunning(Number(pid)) && !(await isOld(path, system))) continue;
    await system.rm(path, { force: true }).catch(() => undefined);
  }
}

/** True while any process with this ID runs. */
export function isRunning(pid: number): boolean {
  // Zero and negative numbers mean process groups.
  if (!(pid > 0)) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

async function isOld(path: string, system: Pick<typeof files, 'stat'>): Promise<boolean> {
  try {
    return Date.now() - (await system.stat(path)).mtimeMs > OLDEST;
  } catch {
    return false;
  }
}
