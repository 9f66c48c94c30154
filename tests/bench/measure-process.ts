import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';

export interface ProcessFigures {
  readonly wallSeconds: number;
  /** User plus system time of all threads and of ended child processes, s; NaN if unknown. */
  readonly cpuSeconds: number;
  /** Peak memory of the process or of any child process, MiB; NaN if unknown. */
  readonly peakMiB: number;
}

/** Sampling interval, ms. The kernel keeps peak and total, so only the last sample before the end matters. */
const LOOK_INTERVAL = 15;

/**
 * Runs a command and measures its processes from outside.
 *
 * @throws Error if the command ends with a status other than 0 or 1.
 */
export function measureProcess(command: string, args: readonly string[]): Promise<ProcessFigures> {
  return new Promise((resolve, reject) => {
    const started = performance.now();
    const child = spawn(command, args, { stdio: ['ignore', 'ignore', 'pipe'] });
    let said = '';
    child.stderr.on('data', (data) => {
      said += data;
    });
    let peakMiB = Number.NaN;
    let cpuSeconds = Number.NaN;
    const timer = setInterval(() => {
      for (const pid of [child.pid, ...childrenOf(child.pid)]) {
        const peak = peakOf(pid) ?? 0;
        if (peak > 0 && !(peak <= peakMiB)) peakMiB = peak;
      }
      cpuSeconds = cpuOf(child.pid) ?? cpuSeconds;
    }, LOOK_INTERVAL);
    child.on('error', reject);
    child.on('exit', (status) => {
      clearInterval(timer);
      const wallSeconds = (performance.now() - started) / 1000;
      if (status === 0 || status === 1) resolve({ wallSeconds, cpuSeconds, peakMiB });
      else reject(new Error(`${command} ${args.join(' ')} ended with ${status}: ${said}`));
    });
  });
}

/** Reads the peak resident memory of a running process, MiB, from /proc. */
function peakOf(pid: number | undefined): number | undefined {
  try {
    const line = /VmHWM:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'));
    return line === null ? undefined : Number(line[1]) / 1024;
  } catch {
    return undefined;
  }
}

/** Reads the child processes of a running process; none where the system does not report children. */
function childrenOf(pid: number | undefined): number[] {
  try {
    return readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8')
      .trim()
      .split(' ')
      .filter(Boolean)
      .map(Number);
  } catch {
    return [];
  }
}

/** Clock ticks per second in /proc. */
const TICKS = 100;

/**
 * Reads the CPU time used so far by all threads of a running process and its ended children, s, from /proc.
 */
function cpuOf(pid: number | undefined): number | undefined {
  try {
    // The program name is in parentheses and may contain spaces, so the fields are split after it.
    const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ');
    return fields.slice(11, 15).reduce((sum, field) => sum + Number(field), 0) / TICKS;
  } catch {
    return undefined;
  }
}

/** Returns the median; for an even number of values, the mean of the middle two. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length / 2;
  return sorted.length % 2 === 1 ? sorted[Math.floor(half)] : (sorted[half - 1] + sorted[half]) / 2;
}
