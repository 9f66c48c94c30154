import { appendFileSync, renameSync, statSync, truncateSync, utimesSync, writeFileSync } from 'node:fs';
import { logOf } from './small-lake.ts';

/** Number of rows in a log before it is changed. */
export const ROWS = 8000;

/** Ways in which a log can change while a run reads it. */
export const LOG_CHANGES: Readonly<Record<string, (file: string) => void>> = {
  replaced: (file) => {
    writeFileSync(`${file}.part`, logOf(ROWS, 1));
    renameSync(`${file}.part`, file);
  },
  overwritten: (file) => {
    // The modification time is restored, so that only the content differs.
    const { atime, mtime } = statSync(file);
    writeFileSync(file, logOf(ROWS, 2));
    utimesSync(file, atime, mtime);
  },
  appended: (file) => appendFileSync(file, logOf(ROWS + 500).slice(logOf(ROWS).length)),
  truncated: (file) => truncateSync(file, logOf(ROWS / 2).length),
};
