import { existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { withLock } from '../../src/files/file-lock.ts';

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'downslope-test-'));
  path = join(folder, '.downslope', 'writing');
});
afterEach(() => rmSync(folder, { recursive: true }));

test('work under one lock is done one at a time, and the lock and its empty folder are removed', async () => {
  const said: string[] = [];
  const work = (name: string) => async (): Promise<void> => {
    said.push(`${name} begins`);
    await new Promise((resolve) => setTimeout(resolve, 10));
    said.push(`${name} ends`);
  };
  await Promise.all(['a', 'b', 'c'].map((name) => withLock(path, work(name))));
  for (let i = 0; i < said.length; i += 2) expect(said[i + 1]).toBe(said[i].replace('begins', 'ends'));
  expect(said).toHaveLength(6);
  expect(readdirSync(folder)).toEqual([]);
});

test('work that fails releases the lock', async () => {
  await expect(withLock(path, () => Promise.reject(new Error('no')))).rejects.toThrow('no');
  expect(existsSync(path)).toBe(false);
});

test('the lock of a killed run is taken over by a waiting one', async () => {
  mkdirSync(join(folder, '.downslope'));
  writeFileSync(path, `${2 ** 30} 0`);
  let most = 0;
  let now = 0;
  const work = async (): Promise<void> => {
    most = Math.max(most, ++now);
    await new Promise((resolve) => setTimeout(resolve, 5));
    now--;
  };
  await Promise.all(Array.from({ length: 5 }, () => withLock(path, work)));
  expect(most).toBe(1);
});

test('where neither a lock nor a store is possible, the work is done without a lock', async () => {
  symlinkSync(tmpdir(), join(folder, '.downslope'));
  expect(await withLock(path, async () => 1)).toBe(1);
  expect(existsSync(join(tmpdir(), 'writing'))).toBe(false);
});
