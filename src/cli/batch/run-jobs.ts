import { type ChildProcess, fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { limitAsync } from 'es-toolkit/promise';
import { formatDiagnostic, Refusal } from '../../../shared/contract/index.ts';
import { plural, batchMessages as says } from '../../../shared/text/index.ts';
import { EXIT_STATUS } from '../../files/index.ts';
import { programFile } from '../../program-files.ts';
import type { LakeJob } from './job-list.ts';
import { isDone, markDone, stampOf } from './job-stamp.ts';
import { isTrusted, outsideAccess } from './outside-access.ts';

export interface JobResult {
  readonly name: string;
  readonly outFolder: string;
  /**
   * `unchanged` when an earlier run made the outputs from the same inputs; `incomplete` when the outputs are
   * written but a log, a waypoint or a plugin failed.
   */
  readonly outcome: 'done' | 'unchanged' | 'incomplete' | 'failed';
  readonly status: number;
  readonly seconds: number;
  /** Counts of the run; absent when the job did not run or ended before its summary. */
  readonly summary?: JobSummary;
  /** What the folder was trusted to do beyond its own files. */
  readonly requests: readonly string[];
  /** Errors or last messages of an incomplete or failed job; otherwise empty. */
  readonly said: string;
}

export interface JobSummary {
  readonly waypoints: number;
  readonly withBoat: number;
  readonly soundings: number;
  /** Files read besides waypoints, logs and tracks. */
  readonly sideFiles: readonly string[];
}

interface BatchOptions {
  readonly jobs: number;
  readonly again: boolean;
  readonly onStart: (job: LakeJob, position: number) => void;
  readonly onEnd: (result: JobResult, done: number) => void;
}

/** Maximum number of lines that tell why a job failed. */
const KEPT_LINES = 6;
/** Maximum length of the messages of a job that are kept, characters; the last ones are kept. */
const MAX_SAID = 1 << 20;

/**
 * Runs every job in its own process, so that a failure affects no other job.
 *
 * A signal is passed on to running jobs, and no more jobs are started.
 *
 * @returns Results of the started jobs, in the order of the jobs. `endedBy` is 128 + the number of the
 *   signal, if any.
 */
export async function runJobs(
  jobs: readonly LakeJob[],
  options: BatchOptions,
): Promise<{ readonly results: readonly JobResult[]; readonly endedBy?: number }> {
  const running = new Set<ChildProcess>();
  let endedBy: number | undefined;
  const stop = (signal: NodeJS.Signals): void => {
    endedBy ??= EXIT_STATUS[signal as keyof typeof EXIT_STATUS];
    for (const child of running) child.kill(signal);
  };
  for (const signal of Object.keys(EXIT_STATUS)) process.on(signal, stop);
  let done = 0;
  const runNext = limitAsync(async (job: LakeJob, position: number) => {
    if (endedBy !== undefined) return [];
    options.onStart(job, position);
    const result = await runJob(job, options.again, running);
    options.onEnd(result, ++done);
    return [result];
  }, options.jobs);
  try {
    return { results: (await Promise.all(jobs.map(runNext))).flat(), endedBy };
  } finally {
    for (const signal of Object.keys(EXIT_STATUS)) process.off(signal, stop);
  }
}

async function runJob(job: LakeJob, again: boolean, running: Set<ChildProcess>): Promise<JobResult> {
  const started = Date.now();
  const asked = await requestsOf(job);
  const result = (
    outcome: JobResult['outcome'],
    status: number,
    said = '',
    summary?: JobSummary,
  ): JobResult => ({
    name: job.name,
    outFolder: job.outFolder,
    outcome,
    status,
    seconds: (Date.now() - started) / 1000,
    said,
    summary,
    requests: 'requests' in asked ? asked.requests : [],
  });
  if ('refused' in asked) return result('failed', 2, asked.refused);
  if (!again && isDone(job)) return result('unchanged', 0);
  const stamp = stampOf(job);
  const child = fork(fileURLToPath(programFile('cli')), ['enrich', ...job.args, '--quiet'], { silent: true });
  running.add(child);
  child.stdout?.resume();
  let said = '';
  let summary: JobSummary | undefined;
  child.stderr?.setEncoding('utf8').on('data', (text: string) => {
    said = (said + text).slice(-MAX_SAID);
  });
  child.on('message', (message) => {
    summary = message as JobSummary;
  });
  const status = await new Promise<number>((resolve) => {
    child.on('error', () => resolve(70));
    child.on('exit', (code, signal) =>
      resolve(code ?? EXIT_STATUS[signal as keyof typeof EXIT_STATUS] ?? 137),
    );
  });
  running.delete(child);
  // A job that ended with status 1 is not marked as done, so that the next batch runs it and reports its
  // faults again.
  if (summary !== undefined && status === 0) await markDone(job, stamp, summary.sideFiles);
  if (status === 0) return result('done', status, '', summary);
  const isWritten = summary !== undefined && status === 1;
  return result(isWritten ? 'incomplete' : 'failed', status, reasonIn(said, status), summary);
}

/** Matches an error among messages, as text or as JSON. */
const ERROR = /(?:^|: )error [a-z-]+\/|"severity":"error"/;

/** Returns the errors of a job that refused something; of any other, such as a crash, the last lines. */
function reasonIn(said: string, status: number): string {
  const lines = said.trim().split('\n');
  const errors = status <= 2 ? lines.filter((line) => ERROR.test(line)) : [];
  if (errors.length === 0) return lines.slice(-KEPT_LINES).join('\n');
  const more = errors.length - KEPT_LINES;
  return [...errors.slice(0, KEPT_LINES), ...(more > 0 ? [`and ${plural(more, 'more error')}`] : [])].join(
    '\n',
  );
}

/** Returns what a lake folder is trusted to do, or why nothing in it may run. */
async function requestsOf({
  folder,
}: LakeJob): Promise<{ requests: readonly string[] } | { refused: string }> {
  if (folder === undefined) return { requests: [] };
  try {
    const reach = await outsideAccess(folder);
    if (!isTrusted(folder, reach))
      throw new Refusal([says['not-trusted']({ file: folder }, folder, reach.requests)]);
    return reach;
  } catch (cause) {
    if (!(cause instanceof Refusal)) throw cause;
    return { refused: cause.diagnostics.map((diagnostic) => formatDiagnostic(diagnostic)).join('\n') };
  }
}
