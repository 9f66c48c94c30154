import { execFileSync } from 'node:child_process';
import { chmodSync, linkSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import { checkTarget, checkTargets, type TargetOptions } from '../../src/files/output-target.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'downslope-test-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const NEW: TargetOptions = { force: false, inPlace: false, inputs: [] };

/** Returns the code of the refusal, or `fine` if the target may be written. */
function outcome(path: string, options: Partial<TargetOptions> = {}): string {
  try {
    checkTarget(path, { ...NEW, ...options });
    return 'fine';
  } catch (error) {
    if (error instanceof Refusal) return error.diagnostics[0].code;
    throw error;
  }
}

const make = (name: string): string => {
  const path = join(folder, name);
  writeFileSync(path, 'old');
  return path;
};

test('a new file may be written to an existing folder or standard output, not to a missing folder', () => {
  expect(checkTarget(join(folder, 'a.gpx'), NEW)).toEqual({
    path: join(folder, 'a.gpx'),
    realPath: join(folder, 'a.gpx'),
  });
  expect(outcome(join(folder, 'none', 'a.gpx'))).toBe('file/no-directory');
  expect(outcome('-')).toBe('fine');
});

test('a file or a broken link in place of the folder is called that, not missing', () => {
  const file = make('log.csv');
  symlinkSync('card', join(folder, 'link'));
  expect(outcome(join(file, 'a.gpx'))).toBe('file/not-a-folder');
  expect(outcome(join(folder, 'link', 'a.gpx'))).toBe('file/dangling-link');
});

describe('F06: read-only', () => {
  test('a read-only file is refused by name', () => {
    const path = make('a.gpx');
    chmodSync(path, 0o444);
    expect(outcome(path, { force: true })).toBe('file/not-writable');
    expect(() => checkTarget(path, { ...NEW, force: true })).toThrow(path);
  });
  test('a read-only folder is refused', () => {
    const directory = join(folder, 'card');
    mkdirSync(directory);
    chmodSync(directory, 0o555);
    expect(outcome(join(directory, 'a.gpx'))).toBe('file/not-writable');
    chmodSync(directory, 0o755);
  });
  test.skipIf(process.platform !== 'linux')('a read-only mount is refused', () => {
    expect(outcome('/proc/a.gpx')).not.toBe('fine');
  });
});

test('a file that a run only reads is never replaced, not even in place', () => {
  const path = make('lures.csv');
  expect(outcome(path, { force: true, inPlace: true, sources: [path] })).toBe('file/is-input');
});

describe('F07: the output is the input', () => {
  const same = (input: string, output: string): void => {
    expect(outcome(output, { force: true, inputs: [input] })).toBe('file/is-input');
    expect(checkTarget(output, { ...NEW, inPlace: true, inputs: [input] }).backup).toMatch(/\.bak$/);
  };
  test('by the same path, by ./ and by a relative path', () => {
    const path = make('a.gpx');
    same(path, path);
    same(path, join(folder, '.', 'x', '..', 'a.gpx'));
    same(path, relative(process.cwd(), path));
    same(relative(process.cwd(), path), path);
  });
  test('by a symbolic link and by a hard link', () => {
    const path = make('a.gpx');
    symlinkSync(path, join(folder, 'soft.gpx'));
    linkSync(path, join(folder, 'hard.gpx'));
    same(path, join(folder, 'soft.gpx'));
    same(path, join(folder, 'hard.gpx'));
    same(join(folder, 'soft.gpx'), path);
  });
  test('an earlier backup is kept, and the next one gets a number', () => {
    const path = make('a.gpx');
    make('a.gpx.bak');
    expect(checkTarget(path, { ...NEW, inPlace: true, inputs: [path] }).backup).toBe(`${path}.bak2`);
  });
});

describe('F08: links', () => {
  test('a link stays and its target is replaced', () => {
    const path = make('a.gpx');
    const link = join(folder, 'link.gpx');
    symlinkSync('a.gpx', link);
    expect(checkTarget(link, { ...NEW, force: true }).realPath).toBe(path);
  });
  test('a broken link is refused', () => {
    symlinkSync('gone.gpx', join(folder, 'link.gpx'));
    expect(outcome(join(folder, 'link.gpx'), { force: true })).toBe('file/dangling-link');
  });
});

test('F09: a folder, a device and a pipe are refused', () => {
  expect(outcome(folder, { force: true })).toBe('file/not-a-file');
  if (process.platform === 'win32') return;
  expect(outcome('/dev/null', { force: true })).toBe('file/not-a-file');
  const pipe = join(folder, 'pipe');
  execFileSync('mkfifo', [pipe]);
  expect(outcome(pipe, { force: true })).toBe('file/not-a-file');
});

test('F10: an existing file is refused without --force', () => {
  const path = make('a.gpx');
  expect(outcome(path)).toBe('file/exists');
  expect(outcome(path, { force: true })).toBe('fine');
  expect(outcome(path, { inPlace: true, inputs: [join(folder, 'b.gpx')] })).toBe('file/exists');
});

test('two outputs to the same file are refused', () => {
  const path = join(folder, 'a.gpx');
  expect(() => checkTargets([path, path], NEW)).toThrow(/two outputs have this path/);
  expect(() => checkTargets([path, `${folder}/./a.gpx`], NEW)).toThrow(
    /Nothing was written: this output and .* are the same file/,
  );
  expect(checkTargets([path, join(folder, 'b.gpx')], NEW)).toHaveLength(2);
});

test('F13: unusual names work: spaces, quotes, line breaks, emoji, composed and decomposed letters, 255 bytes, a leading dash', () => {
  for (const name of [
    'a b.gpx',
    '"a\'.gpx',
    'a\nb.gpx',
    '🎣.gpx',
    'é.gpx',
    'e\u0301.gpx',
    `${'x'.repeat(251)}.gpx`,
    '-a.gpx',
  ]) {
    expect(outcome(join(folder, name))).toBe('fine');
  }
  expect(outcome(join(folder, `${'x'.repeat(300)}.gpx`))).toBe('file/not-writable');
});
