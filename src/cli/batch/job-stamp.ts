import { createHash } from 'node:crypto';
import { existsSync, realpathSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { readFolder, readOwnFile, writeOwnFile } from '../../files/index.ts';
import { VERSION } from '../../version.ts';
import type { LakeJob } from './lake-folder.ts';

/** File beside a lake's outputs that records their inputs, so that an interrupted batch resumes where it stopped. */
const STAMP = '.downslope-job';

/** Longest stamp that is read, bytes. */
const MOST_BYTES = 16 << 20;

const stampPath = ({ outFolder }: LakeJob): string => join(realpathSync(outFolder), STAMP);

/** True when a job's outputs are all there, made by this version, on this day, from these inputs and arguments. */
export function isDone(job: LakeJob): boolean {
  try {
    const bytes = readOwnFile(stampPath(job), MOST_BYTES);
    const [stamp, text] = new TextDecoder().decode(bytes).split('\n');
    const { outputs, read } = JSON.parse(text) as Noted;
    return (
      stamp === stampOf(job) &&
      outputs.every((name) => existsSync(join(job.outFolder, name))) &&
      JSON.stringify(read) === JSON.stringify(read.map(([path]) => stateOf(path)))
    );
  } catch {
    // No stamp, or one that cannot be read: the job is run.
    return false;
  }
}

/** What is noted under the stamp. */
interface Noted {
  /** Names of everything in the job's folder when it was done. */
  readonly outputs: readonly string[];
  /** Files that the run read besides the job's inputs, as they were. */
  readonly read: readonly FileState[];
}

/**
 * Records a job's inputs and results.
 *
 * @param sideFiles Files that the run read besides the job's inputs: those that its configuration names.
 */
export async function markDone(job: LakeJob, stamp: string, sideFiles: readonly string[]): Promise<void> {
  const outputs = readFolder(job.outFolder).map(({ name }) => name);
  const noted: Noted = { outputs, read: sideFiles.map(stateOf) };
  try {
    await writeOwnFile(stampPath(job), new TextEncoder().encode(`${stamp}\n${JSON.stringify(noted)}\n`));
  } catch {
    // Without a stamp the job is run again.
  }
}

type FileState = readonly [path: string, size: number, modified: number, changed: number];

/** Length of a file and times of its content and of any change to it, -1 when it is not there. */
function stateOf(path: string): FileState {
  const stats = statSync(path, { throwIfNoEntry: false });
  return [path, stats?.size ?? -1, stats?.mtimeMs ?? -1, stats?.ctimeMs ?? -1];
}

/**
 * Changes whenever an input's length or one of its times, an argument, the day or the version does.
 *
 * The day, because a plan is for today where no other is given.
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
    // The run itself will say that it cannot be read.
    return [path];
  }
}
