import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { writeDemo } from '../../fixtures/demo/make-demo.ts';
import { runProgram } from '../commands/run-program.ts';

const readme = readFileSync(resolve(import.meta.dirname, '../../README.md'), 'utf8');
const block = /```\n\$ npx downslope (enrich [^\n]*)\n(.*?)```/s.exec(readme);
const command = block?.[1] ?? '';
const shown = (block?.[2] ?? '').split('\n').filter((line) => line !== '' && line !== '...');

const cwd = mkdtempSync(join(tmpdir(), 'downslope-readme-'));
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

describe('the run shown in the README', () => {
  test('is what the program prints, in its order, lines left out', () => {
    mkdirSync(join(cwd, 'out', 'demo'), { recursive: true });
    writeDemo(join(cwd, 'out', 'demo'));
    const { status, stderr } = runProgram(command.split(' '), { cwd });
    expect(status).toBe(0);
    const printed = stderr.split('\n').map((line) => line.trimEnd());
    expect(shown.length).toBeGreaterThan(15);
    let from = 0;
    for (const line of shown) {
      const at = printed.indexOf(line, from);
      expect(at, line).toBeGreaterThanOrEqual(from);
      from = at + 1;
    }
  });
});
