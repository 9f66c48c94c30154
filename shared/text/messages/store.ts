import { messages } from './make.ts';

/** Messages about what runs keep in `.downslope` for later runs. */
export const storeMessages = {
  ...messages('store', 'warning', {
    'log-changed':
      'Part of this log may be missing: it changed while it was being read. Run again when nothing is writing to it.',
    'given-out': (why: string) =>
      `Boat positions of earlier runs may be taken for your own marks: the record of them could not be read (${why}). Look through the marks before you fish them.`,
    'given-out not-written': (why: string) =>
      `The next run may take this run's boat positions for your own marks: they could not be recorded (${why}). Make the folder writable and run again.`,
    /** @param newer Outputs of the stopped run. @param older Outputs left from the run before it. */
    'mixed-outputs': (newer: readonly string[], older: readonly string[]) =>
      `These files are from two different runs, because one run was stopped while it wrote them. New: ${newer.join(', ')}. Old: ${older.join(', ')}. Run again with --force.`,
    'older-output': (paths: readonly string[]) =>
      `Some files of an earlier run were left among the new ones, because they were changed since: ${paths.join(', ')}. Remove those you do not need.`,
  }),
  ...messages('store', 'note', {
    rebuilt: (why: string) =>
      `The stored copy of this log could not be used (${why}). The log was read again.`,
    'rebuilt lake': (why: string) => `The stored lake could not be used (${why}). It was modeled again.`,
    'not-written': (why: string) =>
      `Logs could not be stored here (${why}), so the next run reads them again. Add --no-store if you do not want them stored.`,
    'not-written lake': (why: string) =>
      `The lake could not be stored here (${why}), so the next run models all of it again.`,
    used: (stored: number, read: number) =>
      `${stored} unchanged ${stored === 1 ? 'log' : 'logs'} came from the lake store; ${read} new or changed ${read === 1 ? 'log was' : 'logs were'} read.`,
    outputs: (why: string) =>
      `If the next run is stopped half way, mixed outputs will go unnoticed, and old figures may stay: the list of what this run wrote could not be saved (${why}).`,
  }),
};
