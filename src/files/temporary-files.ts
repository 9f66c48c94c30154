import { rmSync } from 'node:fs';

/** Temporary files of this run that are not yet renamed. */
export interface TemporaryFiles {
  /** Lists a file before it is made. After a signal it never resolves, so that no further file is made. */
  add(path: string): Promise<void>;
  delete(path: string): void;
  /** Removes those left and stops listening to signals. */
  stop(): void;
}

/** Time for a file that is being made when the signal arrives to appear, ms; then all are removed. */
const SETTLE = 50;
/** Signals that end a run, with its exit status then: 128 + the signal's number. */
export const EXIT_STATUS = { SIGINT: 130, SIGTERM: 143, SIGHUP: 129 } as const;

/**
 * Keeps the list of temporary files; when a signal ends the process they are removed and the exit status is
 * 128 + its number.
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
      // Not yet: a file taken away under a write would end the process with that write's failure.
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
    // A file being removed stays listed, since it may reappear.
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
