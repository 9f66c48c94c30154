import { systemError } from '../system-errors.ts';
import { messages } from './make.ts';

const remedy = (why: string): string =>
  /disk is full|ENOSPC/.test(why) ? 'Make room on the disk' : 'Make the folder writable';

/** Lists the first paths, and how many more there are. */
const someOf = (paths: readonly string[]): string =>
  `${paths.slice(0, 5).join(', ')}${paths.length > 5 ? ` and ${paths.length - 5} more` : ''}`;

/** Messages about what a run keeps in `.downslope` for later runs. */
export const storeMessages = {
  ...messages('store', 'warning', {
    'log-changed':
      'Part of this log may be missing: it changed while it was read. Run again when no program is writing to the log.',
    'given-out': (why: string) =>
      `Boat positions of earlier runs may be taken for your own marks: the record of these positions could not be read (${systemError(why)}). Look through the marks before you fish them.`,
    'given-out not-written': (why: string) =>
      `The next run may take the boat positions of this run for your own marks: the record of these positions could not be written (${systemError(why)}). ${remedy(why)}, and run again.`,
    /** @param newer Outputs of the stopped run. @param older Outputs left from the run before it. */
    'mixed-outputs': (newer: readonly string[], older: readonly string[]) =>
      `These files are from two different runs, because the newer run was stopped while it wrote its files. From the newer run: ${someOf(newer)}. From the older run: ${someOf(older)}. Run again with --force.`,
    'older-output': (paths: readonly string[]) =>
      paths.length === 1
        ? `A file of an earlier run is still there, because it was changed after that run: ${paths[0]}. Remove the file if you do not need it.`
        : `Some files of an earlier run are still there, because they were changed after that run: ${someOf(paths)}. Remove the files that you do not need.`,
  }),
  ...messages('store', 'note', {
    rebuilt: (why: string) => `Read again, because the stored copy could not be used (${systemError(why)}).`,
    'rebuilt lake': (why: string) =>
      `The whole lake was modeled again, because the stored lake could not be used (${systemError(why)}).`,
    'not-written': (why: string) =>
      `The next run reads the logs again, because they could not be stored here (${systemError(why)}). ${remedy(why)}, or add --no-store.`,
    'not-written lake': (why: string) =>
      `The next run models the whole lake again, because the lake could not be stored here (${systemError(why)}). ${remedy(why)}, or add --no-store.`,
    used: (stored: number, read: number) =>
      `${stored} unchanged ${stored === 1 ? 'log' : 'logs'} came from the store of an earlier run${read === 0 ? '' : `, and ${read} new or changed ${read === 1 ? 'log was' : 'logs were'} read`}.`,
    outputs: (why: string) =>
      `A later run will not know which files this run wrote, so old files may stay among new ones: the list of the files could not be saved (${systemError(why)}). ${remedy(why)}.`,
  }),
};
