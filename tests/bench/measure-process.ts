import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';

export interface ProcessFigures {
  readonly wallSeconds: number;
  /** Most memory it had, MiB; NaN where the system does not tell. */
  readonly peakMiB: number;
}

/** How often memory is looked at, ms; the kernel keeps the peak, so only the last look before the end counts. */
const LOOK_INTERVAL = 15;

/**
 * Runs a command and measures it from outside.
 *
 * @throws Error when it ends with another status than 0 or 1.
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
    const timer = setInterval(() => {
      peakMiB = peakOf(child.pid) ?? peakMiB;
    }, LOOK_INTERVAL);
    child.on('error', reject);
    child.on('exit', (status) => {
      clearInterval(timer);
      const wallSeconds = (performance.now() - started) / 1000;
      if (status === 0 || status === 1) resolve({ wallSeconds, peakMiB });
      else reject(new Error(`${command} ${args.join(' ')} ended with ${status}: ${said}`));
    });
  });
}

/** Peak resident memory of a running process, MiB, from /proc. */
function peakOf(pid: number | undefined): number | undefined {
  try {
    const line = /VmHWM:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'));
    return line === null ? undefined : Number(line[1]) / 1024;
  } catch {
    return undefined;
  }
}

/** Middle value; the mean of the two middle ones of an even number. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length / 2;
  return sorted.length % 2 === 1 ? sorted[Math.floor(half)] : (sorted[half - 1] + sorted[half]) / 2;
}
