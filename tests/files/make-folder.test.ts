import { existsSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import { makeFolder } from '../../src/files/output-target.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'downslope-test-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** Makes a folder. @returns Code of the refusal, `fine`, or `missing` if no folder exists afterward. */
function outcome(path: string): string {
  try {
    makeFolder(path, join(path, 'a.gpx'), { inputs: [] });
    return existsSync(path) ? 'fine' : 'missing';
  } catch (error) {
    if (error instanceof Refusal) return error.diagnostics[0].code;
    throw error;
  }
}

test('missing folders are made with their parents, and an existing one is kept', () => {
  expect(outcome(join(folder, 'a', 'b', 'c'))).toBe('fine');
  expect(outcome(join(folder, 'a', 'b'))).toBe('fine');
  mkdirSync(join(folder, 'real'));
  symlinkSync(join(folder, 'real'), join(folder, 'link'));
  expect(outcome(join(folder, 'link', 'deep'))).toBe('fine');
  expect(existsSync(join(folder, 'real', 'deep'))).toBe(true);
});

test('a file where a folder is needed is refused', () => {
  writeFileSync(join(folder, 'marks.gpx'), 'old');
  expect(outcome(join(folder, 'marks.gpx'))).toBe('file/not-a-folder');
  expect(outcome(join(folder, 'marks.gpx', 'deep', 'er'))).toBe('file/not-a-folder');
});

test('a link to a missing folder is refused, and so is a folder below it', () => {
  symlinkSync(join(folder, 'none'), join(folder, 'card'));
  expect(outcome(join(folder, 'card'))).toBe('file/dangling-link');
  expect(outcome(join(folder, 'card', 'out'))).toBe('file/dangling-link');
});

test.skipIf(process.platform !== 'linux')('a place where no folder can be made is refused', () => {
  expect(outcome('/proc/none/deep')).toBe('file/no-directory');
});
