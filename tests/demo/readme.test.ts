import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { writeDemo } from '../../fixtures/demo/make-demo.ts';
import { runProgram } from '../cli/run-program.ts';

const readme = readFileSync(resolve(import.meta.dirname, '../../README.md'), 'utf8');

/** The command of a block that begins with it, and the lines that it shows. */
function shownRun(command: string): { command: string[]; lines: string[] } {
  const block = new RegExp(`\`\`\`\\n\\$ npx downslope (${command} [^\\n]*)\\n(.*?)\`\`\``, 's').exec(readme);
  const lines = (block?.[2] ?? '').split('\n').filter((line) => line !== '' && line !== '...');
  return { command: (block?.[1] ?? '').split(' '), lines };
}

/** Every line shown is printed, in its order; lines between may be left out. */
function expectShown(lines: readonly string[], output: string): void {
  const printed = output.split('\n').map((line) => line.trimEnd());
  let from = 0;
  for (const line of lines) {
    const at = printed.indexOf(line, from);
    expect(at, line).toBeGreaterThanOrEqual(from);
    from = at + 1;
  }
}

const cwd = mkdtempSync(join(tmpdir(), 'downslope-readme-'));
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

describe('the runs shown in the README', () => {
  test('are what the program prints, in its order, lines left out', () => {
    mkdirSync(join(cwd, 'out', 'demo'), { recursive: true });
    writeDemo(join(cwd, 'out', 'demo'));
    const spots = shownRun('enrich');
    const enriched = runProgram(spots.command, { cwd });
    expect(enriched.status).toBe(0);
    expect(spots.lines.length).toBeGreaterThan(15);
    expectShown(spots.lines, enriched.stderr);
    const day = shownRun('plan');
    const planned = runProgram(day.command, { cwd });
    expect(planned.status, planned.stderr).toBe(0);
    expect(day.lines.length).toBeGreaterThan(6);
    expectShown(day.lines, planned.stdout);
  });
});
