import { messages } from './make.ts';

/** Messages about what a run keeps in `.downslope` for later runs. */
export const storeMessages = {
  ...messages('store', 'warning', {
    'log-changed':
      'Part of this log may be missing: it changed while it was read. Run again when no program is writing to the log.',
    'given-out': (why: string) =>
      `Boat positions of earlier runs may be taken for your own marks: the record of these positions could not be read (${why}). Look through the marks before you fish them.`,
    'given-out not-written': (why: string) =>
      `The next run may take the boat positions of this run for your own marks: the record of these positions could not be written (${why}). Make the folder writable and run again.`,
    /** @param newer Outputs of the stopped run. @param older Outputs left from the run before it. */
    'mixed-outputs': (newer: readonly string[], older: readonly string[]) =>
      `These files are from two different runs, because the newer run was stopped while it wrote its files. New are ${newer.join(', ')}. Old are ${older.join(', ')}. Run again with --force.`,
    'older-output': (paths: readonly string[]) =>
      `Some files of an earlier run are still there, because they were changed after that run: ${paths.join(', ')}. Remove the files that you do not need.`,
  }),
  ...messages('store', 'note', {
    rebuilt: (why: string) => `The log was read again, because its stored copy could not be used (${why}).`,
    'rebuilt lake': (why: string) =>
      `The whole lake was modeled again, because the stored lake could not be used (${why}).`,
    'not-written': (why: string) =>
      `The next run reads the logs again, because they could not be stored here (${why}). Make the folder writable, or add --no-store.`,
    'not-written lake': (why: string) =>
      `The next run models the whole lake again, because the lake could not be stored here (${why}). Make the folder writable, or add --no-store.`,
    used: (stored: number, read: number) =>
      `${stored} unchanged ${stored === 1 ? 'log' : 'logs'} came from the store of an earlier run, and ${read} new or changed ${read === 1 ? 'log was' : 'logs were'} read.`,
    outputs: (why: string) =>
      `A later run will not know which files this run wrote, so old files may stay among new ones: the list of the files could not be saved (${why}). Make the folder writable.`,
  }),
};
