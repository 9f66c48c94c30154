import { resolve } from 'node:path';
import { measureProcess, median } from './measure-process.ts';

const ROOT = resolve(import.meta.dirname, import.meta.url.endsWith('.ts') ? '../..' : '../../..');
const PROGRAM = resolve(ROOT, 'dist/program/cli.js');
const ROUNDS = 15;

/** Measures the start-up time of `--help` beside that of bare Node. */
export const section = {
  name: 'start-up',
  async run(print: (line: string) => void): Promise<void> {
    const commands: Readonly<Record<string, string[]>> = {
      'node -e 0': ['-e', '0'],
      'downslope --help': [PROGRAM, '--help'],
      'downslope enrich --help': [PROGRAM, 'enrich', '--help'],
    };
    const seconds: Record<string, number[]> = Object.fromEntries(
      Object.keys(commands).map((name) => [name, []]),
    );
    for (let round = 0; round < ROUNDS; round++)
      for (const [name, args] of Object.entries(commands))
        seconds[name].push((await measureProcess(process.execPath, args)).wallSeconds);
    const bare = seconds['node -e 0'];
    for (const [name, runs] of Object.entries(seconds)) {
      const ratio = median(runs.map((run, round) => run / bare[round]));
      print(
        `  ${name.padEnd(26)}${(median(runs) * 1000).toFixed(0).padStart(5)} ms   ${ratio.toFixed(2)} of bare Node`,
      );
    }
  },
};
