import { appendFileSync } from 'node:fs';
import files from 'node:fs/promises';
import { syncBuiltinESMExports } from 'node:module';
import { relative } from 'node:path';

/**
 * Loaded before a program (`node --import`), in each of its processes and threads: notes every time a file
 * takes its place, in the file `NOTE_STEPS`, or kills the program and its children at one of them, `STOP_AT`.
 */
const { NOTE_STEPS: noteFile, STOP_AT: stopAt } = process.env;
const counts = new Map<string, number>();

/** A step by what is done to which file, and how often that was done before: the same in every run. */
function step(name: string): void {
  const count = (counts.get(name) ?? 0) + 1;
  counts.set(name, count);
  if (noteFile !== undefined) appendFileSync(noteFile, `${name} ${count}\n`);
  // The whole group of processes: the lakes of a batch run in further ones.
  if (`${name} ${count}` === stopAt) process.kill(0, 'SIGKILL');
}

/** Without what differs between runs. */
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
