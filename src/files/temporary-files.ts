import { rmSync } from 'node:fs';

/** Temporary files of this run that are not yet renamed. */
export interface TemporaryFiles {
  add(path: string): void;
  delete(path: string): void;
  /** Removes those left and stops listening to signals. */
  stop(): void;
}

const EXIT_STATUS = { SIGINT: 130, SIGTERM: 143, SIGHUP: 129 } as const;

/**
 * Keeps the list of temporary files; when a signal ends the process they are removed at once and the exit
 * status is 128 + its number.
 */
export function watchTemporaryFiles(): TemporaryFiles {
  const paths = new Set<string>();
  const clear = (): void => {
    for (const path of paths) rmSync(path, { force: true });
    paths.clear();
  };
  const listeners = Object.entries(EXIT_STATUS).map(([signal, status]) => {
    const listener = (): void => {
      clear();
      process.exit(status);
    };
    process.on(signal, listener);
    return { signal, listener };
  });
  return {
    add: (path) => paths.add(path),
    delete: (path) => paths.delete(path),
    stop: () => {
      clear();
      for (const { signal, listener } of listeners) process.off(signal, listener);
    },
  };
}
