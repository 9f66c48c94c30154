import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync, type Stats, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { VERSION } from '../version.ts';
import type { LakeJob } from './lake-folder.ts';

/** Beside a lake's outputs: what they were made from, so that a batch that was stopped goes on where it was. */
const STAMP = '.downslope-job';

/** True when the outputs of a job were made by this version, from these inputs and arguments, and are all there. */
export function isDone(job: LakeJob): boolean {
  try {
    const [stamp, outputs] = readFileSync(join(job.outFolder, STAMP), 'utf8').split('\n');
    const names = JSON.parse(outputs) as readonly string[];
    return `${stamp}\n` === stampOf(job) && names.every((name) => existsSync(join(job.outFolder, name)));
  } catch {
    // No stamp, or one that cannot be read: the job is run.
    return false;
  }
}

/** Notes what a job was made from, and the names of all that is in its folder now. */
export function markDone({ outFolder }: LakeJob, stamp: string): void {
  const names = readdirSync(outFolder).filter((name) => !name.startsWith('.'));
  writeFileSync(join(outFolder, STAMP), `${stamp}${JSON.stringify(names)}\n`);
}

/** Changes whenever an input's length or time of change, an argument or the version does. */
export function stampOf({ args, inputs }: LakeJob): string {
  const hash = createHash('sha256').update(JSON.stringify([VERSION, args]));
  for (const path of inputs.flatMap(filesBelow)) {
    const { size, mtimeMs } =
      statSync(path, { throwIfNoEntry: false }) ?? ({ size: -1, mtimeMs: -1 } as Stats);
    hash.update(JSON.stringify([path, size, mtimeMs]));
  }
  return `${hash.digest('hex')}\n`;
}

function filesBelow(path: string): string[] {
  if (!statSync(path, { throwIfNoEntry: false })?.isDirectory()) return [path];
  const names = readdirSync(path).filter((name) => !name.startsWith('.'));
  return names.sort().flatMap((name) => filesBelow(join(path, name)));
}
