import { systemError } from '../system-errors.ts';
import { messages } from './make.ts';

/** Matches the error of `writeStateFile` when something else is in the place of its folder or file. */
const IN_THE_WAY = /^(.+) is a (?:file|folder|link|pipe|socket|device)$/;

/** Returns what the user can do so that a file can be written; undefined when nothing is sure to help. */
function remedy(why: string): string | undefined {
  const inTheWay = IN_THE_WAY.exec(why)?.[1];
  if (inTheWay === '.downslope')
    return 'Rename or remove .downslope so that a folder can be made in its place';
  if (inTheWay !== undefined) return `Rename or remove ${inTheWay}`;
  if (/disk is full|ENOSPC|EDQUOT/.test(why)) return 'Make room on the disk';
  if (/EROFS|disk is read-only/.test(why)) return 'Copy your files to a disk that allows writing';
  if (/the file does not allow writing/.test(why)) return 'Make the file writable';
  return /EACCES|EPERM|does not allow writing/.test(why) ? 'Make the folder writable' : undefined;
}

const remedySentence = (why: string, more = ''): string => {
  const found = remedy(why);
  return found === undefined ? '' : ` ${found}${more}.`;
};

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
      `The next run may take the boat positions of this run for your own marks: the record of these positions could not be written (${systemError(why)}).${remedySentence(why, ', and run again') || ' Run again.'}`,
    /** @param newer Outputs of the stopped run. @param older Outputs left from the run before it. */
    'mixed-outputs': (newer: readonly string[], older: readonly string[]) =>
      `These files are from two different runs, because the newer run was stopped while it wrote its files. From the newer run: ${someOf(newer)}. From the older run: ${someOf(older)}. Run again with --force.`,
    'older-output': (paths: readonly string[]) =>
      paths.length === 1
        ? `A file of an earlier run is still there, because it was changed after that run: ${paths[0]}. Remove the file if you do not need it.`
        : `Some files of an earlier run are still there, because they were changed after that run: ${someOf(paths)}. Remove the files that you do not need.`,
  }),
  ...messages('store', 'note', {
    rebuilt: (why: string) =>
      `The log was read again, because its stored copy could not be used (${systemError(why)}).`,
    'rebuilt lake': (why: string) =>
      `The whole lake was modeled again, because the stored lake could not be used (${systemError(why)}).`,
    'not-written': (why: string) =>
      `The next run reads the logs again, because they could not be stored here (${systemError(why)}).${remedySentence(why, ', or add --no-store')}`,
    'not-written lake': (why: string) =>
      `The next run models the whole lake again, because the lake could not be stored here (${systemError(why)}).${remedySentence(why, ', or add --no-store')}`,
    used: (stored: number, read: number) =>
      `${stored} unchanged ${stored === 1 ? 'log' : 'logs'} came from the store of an earlier run${read === 0 ? '' : `, and ${read} new or changed ${read === 1 ? 'log was' : 'logs were'} read`}.`,
    outputs: (why: string) =>
      `Old files may stay among new ones after a later run: the list of the files that this run wrote could not be saved (${systemError(why)}).${remedySentence(why)}`,
  }),
};
