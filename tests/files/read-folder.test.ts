import { execFileSync } from 'node:child_process';
import { chmodSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import { readFolder } from '../../src/files/read-folder.ts';
import { makeFolder, write } from '../cli/run-program.ts';

test("names are in order, without hidden files and a card's system folders", () => {
  const folder = makeFolder();
  for (const name of ['b.csv', '.DS_Store', 'a.csv', 'B.csv']) write(folder, name, '');
  for (const name of ['System Volume Information', 'lost+found', 'sub']) mkdirSync(join(folder, name));
  expect(readFolder(folder).map(({ name }) => name)).toEqual(['B.csv', 'a.csv', 'b.csv', 'sub']);
});

test.skipIf(process.platform === 'win32')(
  'a pipe is skipped, because its reader would wait for a writer',
  () => {
    const folder = makeFolder();
    execFileSync('mkfifo', [join(folder, 'live.csv')]);
    write(folder, 'a.csv', '');
    expect(readFolder(folder).map(({ name }) => name)).toEqual(['a.csv']);
  },
);

test('a missing or unreadable folder is refused by name', () => {
  const folder = join(makeFolder(), 'closed');
  expect(() => readFolder(folder)).toThrow(Refusal);
  mkdirSync(folder);
  chmodSync(folder, 0);
  // The superuser can read everything.
  if (process.getuid?.() !== 0) expect(() => readFolder(folder)).toThrow(folder);
  chmodSync(folder, 0o700);
});
