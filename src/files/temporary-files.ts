import { rmSync } from 'node:fs';

/** Temporary files of this run that have not been renamed yet. */
export interface TemporaryFiles {
  /** Lists a file before it is created. After a signal it never resolves, so that no more files are created. */
  add(path: string): Promise<void>;
  delete(path: string): void;
  /** Removes the remaining files and stops listening for signals. */
  stop(): void;
}

/** Delay before removing all files after a signal, ms, so that a file being created has time to appear. */
const SETTLE = 50;
/** Signals that end a run, with the exit status for each: 128 + the signal number. */
export const EXIT_STATUS = { SIGINT: 130, SIGTERM: 143, SIGHUP: 129 } as const;

/**
 * Keeps a list of temporary files. When a signal ends the process, the files are removed and the exit status is 128 +
 * the signal number.
 */
export function watchTemporaryFiles(): TemporaryFiles {
  const paths = new Set<string>();
  let isEnding = false;
  const clear = (): void => {
    for (const path of paths) rmSync(path, { force: true });
  };
  const listeners = Object.entries(EXIT_STATUS).map(([signal, status]) => {
    const listener = (): void => {
      isEnding = true;
      // Removal waits, because deleting a file during a write would end the process with that write's failure.
      setTimeout(() => {
        clear();
        process.exit(status);
      }, SETTLE);
    };
    process.on(signal, listener);
    return { signal, listener };
  });
  return {
    add: async (path) => {
      if (isEnding) await new Promise(() => {});
      paths.add(path);
    },
    // A file that is being removed stays listed, since it may reappear.
    delete: (path) => {
      if (!isEnding) paths.delete(path);
    },
    stop: () => {
      clear();
      paths.clear();
      for (const { signal, listener } of listeners) process.off(signal, listener);
    },
  };
}
