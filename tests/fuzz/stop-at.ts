import { appendFileSync } from 'node:fs';
import files from 'node:fs/promises';
import { syncBuiltinESMExports } from 'node:module';
import { relative } from 'node:path';

/**
 * Loaded before a program (`node --import`) in each of its processes and threads. Records a step before and
 * after every file is put in place, in the file `NOTE_STEPS`, or kills the program with its children at the
 * step `STOP_AT`.
 */
const { NOTE_STEPS: noteFile, STOP_AT: stopAt } = process.env;
const counts = new Map<string, number>();

/**
 * Notes a step, or kills the program there. The name of a step (operation, file and number of its occurrence)
 * is the same in every run.
 */
function step(name: string): void {
  const count = (counts.get(name) ?? 0) + 1;
  counts.set(name, count);
  if (noteFile !== undefined) appendFileSync(noteFile, `${name} ${count}\n`);
  // Kills the whole process group, because the lakes of a batch run in child processes.
  if (`${name} ${count}` === stopAt) process.kill(0, 'SIGKILL');
}

/** Returns a path without the parts that differ between runs. */
const nameOf = (path: unknown): string =>
  relative(process.cwd(), String(path)).replace(/outputs-[0-9a-f]{16}/, 'outputs');

for (const name of ['rename', 'copyFile'] as const) {
  const original = files[name] as (...args: unknown[]) => Promise<void>;
  const stopping = async (...args: unknown[]): Promise<void> => {
    step(`before ${name} ${nameOf(args[1])}`);
    await original(...args);
    step(`after ${name} ${nameOf(args[1])}`);
  };
  Object.assign(files, { [name]: stopping });
}
syncBuiltinESMExports();
