import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, type Stats, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { VERSION } from '../version.ts';
import type { LakeJob } from './lake-folder.ts';

/** Beside a lake's outputs: what they were made from, so that a batch that was stopped goes on where it was. */
const STAMP = '.downslope-job';

/** True when the outputs of a job were made by this version, from these inputs and arguments. */
export function isDone(job: LakeJob): boolean {
  try {
    return readFileSync(join(job.outFolder, STAMP), 'utf8') === stampOf(job);
  } catch {
    return false;
  }
}

export const markDone = (job: LakeJob, stamp: string): void =>
  writeFileSync(join(job.outFolder, STAMP), stamp);

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
