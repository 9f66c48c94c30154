import { createHash } from 'node:crypto';
import { existsSync, realpathSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { readFolder, readStateFile, writeStateFile } from '../../files/index.ts';
import { VERSION } from '../../version.ts';
import type { LakeJob } from './job-list.ts';

/**
 * Name of the file that records a finished job, in the job's output folder. A later batch skips the job if
 * nothing has changed.
 */
const STAMP = '.downslope-job';

const MAX_BYTES = 16 << 20;

const stampPath = ({ outFolder }: LakeJob): string => join(realpathSync(outFolder), STAMP);

/** Returns true when this version made all outputs of a job today, from the same inputs and arguments. */
export function isDone(job: LakeJob): boolean {
  try {
    const bytes = readStateFile(stampPath(job), MAX_BYTES);
    const [stamp, text] = new TextDecoder().decode(bytes).split('\n');
    const { outputs, read } = JSON.parse(text) as Noted;
    return (
      stamp === stampOf(job) &&
      outputs.every((name) => existsSync(join(job.outFolder, name))) &&
      JSON.stringify(read) === JSON.stringify(read.map(([path]) => stateOf(path)))
    );
  } catch {
    // A job without a readable stamp is run.
    return false;
  }
}

interface Noted {
  /** Names of the files and folders in the job's output folder when the job was done, except hidden ones. */
  readonly outputs: readonly string[];
  /** State of the files that the run read besides waypoints, logs and tracks. */
  readonly read: readonly FileState[];
}

/** @param sideFiles Files that the run read besides waypoints, logs and tracks. */
export async function markDone(job: LakeJob, stamp: string, sideFiles: readonly string[]): Promise<void> {
  const outputs = readFolder(job.outFolder).map(({ name }) => name);
  const noted: Noted = { outputs, read: sideFiles.map(stateOf) };
  try {
    await writeStateFile(stampPath(job), new TextEncoder().encode(`${stamp}\n${JSON.stringify(noted)}\n`));
  } catch {
    // A job without a stamp is run again.
  }
}

type FileState = readonly [path: string, size: number, modified: number, changed: number];

/** Returns a file's path, length in bytes, and times in ms; length and times are -1 if there is no file. */
function stateOf(path: string): FileState {
  const stats = statSync(path, { throwIfNoEntry: false });
  return [path, stats?.size ?? -1, stats?.mtimeMs ?? -1, stats?.ctimeMs ?? -1];
}

/**
 * Returns a hash that changes with the length or times of an input, with an argument, the day or the version.
 *
 * The day is included because a run without `--date` is for today.
 */
export function stampOf({ args, inputs }: LakeJob): string {
  const hash = createHash('sha256').update(JSON.stringify([VERSION, new Date().toDateString(), args]));
  for (const path of inputs.flatMap(filesBelow)) hash.update(JSON.stringify(stateOf(path)));
  return hash.digest('hex');
}

function filesBelow(path: string): string[] {
  if (!statSync(path, { throwIfNoEntry: false })?.isDirectory()) return [path];
  try {
    return readFolder(path).flatMap(({ name }) => filesBelow(join(path, name)));
  } catch {
    // The run reports that this path cannot be read.
    return [path];
  }
}
