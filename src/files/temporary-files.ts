import { randomBytes } from 'node:crypto';
import { rmSync } from 'node:fs';
import type * as files from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';

/** Returns a temporary name without the target's name, which may have the maximum length. */
export const temporaryName = (pid: number): string =>
  `.downslope-${pid}-${randomBytes(4).toString('hex')}.tmp`;

const TEMPORARY_NAME = /^\.downslope-(\d+)-[0-9a-f]{8}\.tmp$/;

export type TemporaryFiles = ReturnType<typeof watchTemporaryFiles>;

/** Delay before removing all files after a signal, ms, so that a write has time to end. */
const SETTLE = 50;
/** Exit status for each signal that ends a run: 128 + the signal number. */
export const EXIT_STATUS = { SIGINT: 130, SIGTERM: 143, SIGHUP: 129 } as const;

/**
 * Keeps a list of temporary files. When a signal ends the process, the files that still have their temporary
 * names are removed, and the exit status is from `EXIT_STATUS`.
 */
export function watchTemporaryFiles() {
  const paths = new Set<string>();
  let isEnding = false;
  /** Last creation of a file, perhaps still pending. */
  let creating: Promise<unknown> = Promise.resolve();
  const clear = (): void => {
    for (const path of paths) {
      try {
        rmSync(path, { force: true });
      } catch {
        // A later run that writes to the folder removes the file.
      }
    }
  };
  const listeners = Object.entries(EXIT_STATUS).map(([signal, status]) => {
    const listener = async (): Promise<void> => {
      isEnding = true;
      // Deleting a file during a write would end the process with the write's failure, and a file still being
      // created cannot be removed yet. So removal waits.
      await Promise.allSettled([creating, setTimeout(SETTLE)]);
      clear();
      process.exit(status);
    };
    process.on(signal, listener);
    return { signal, listener };
  });
  return {
    /** Creates a file and lists it. Never resolves after a signal, so no more files are created. */
    create: async <T>(path: string, open: () => Promise<T>): Promise<T> => {
      if (isEnding) await new Promise(() => {});
      paths.add(path);
      const opened = open();
      creating = opened;
      return opened;
    },
    /** Removes the remaining files and stops listening. After a signal, never resolves, as with `create`. */
    stop: async (): Promise<void> => {
      if (isEnding) await new Promise(() => {});
      clear();
      paths.clear();
      for (const { signal, listener } of listeners) process.off(signal, listener);
    },
  };
}

/**
 * Maximum age of a temporary file that is kept because a process with the ID in its name is running, ms. An
 * older file is removed, since IDs are reused.
 */
const OLDEST = 24 * 3600 * 1000;

/** Removes temporary files that killed runs left in a directory. */
export async function removeStaleFiles(
  directory: string,
  system: Pick<typeof files, 'readdir' | 'rm' | 'stat'>,
): Promise<void> {
  const names = await system.readdir(directory).catch(() => [] as string[]);
  for (const name of names) {
    const pid = TEMPORARY_NAME.exec(name)?.[1];
    if (pid === undefined) continue;
    const path = join(directory, name);
    const stats = await system.stat(path).catch(() => undefined);
    const isOld = stats !== undefined && Date.now() - stats.mtimeMs > OLDEST;
    if (isRunning(Number(pid)) && !isOld) continue;
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
