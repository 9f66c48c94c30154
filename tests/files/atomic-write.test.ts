import {
  chmodSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import * as files from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import { systemError } from '../../shared/text/system-errors.ts';
import { type FileSystem, writeAtomically } from '../../src/files/atomic-write.ts';
import { checkTarget } from '../../src/files/output-target.ts';
import { readInput } from '../../src/files/read-input.ts';
import { temporaryName } from '../../src/files/temporary-files.ts';

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'downslope-test-'));
  path = join(folder, 'a.gpx');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const target = (inputs: readonly string[] = []) =>
  checkTarget(path, { force: true, inPlace: inputs.length > 0, inputs });
const bytes = (length: number): Uint8Array =>
  Uint8Array.from({ length }, (_, i) => (i * 31 + (i >> 8)) & 255);

test('a new file holds the bytes, and nothing else is left in the folder', async () => {
  await writeAtomically(target(), bytes(3_000_000));
  expect(Buffer.from(bytes(3_000_000)).equals(readFileSync(path))).toBe(true);
  expect(readdirSync(folder)).toEqual(['a.gpx']);
});

test('an empty file can be written', async () => {
  await writeAtomically(target(), new Uint8Array(0));
  expect(statSync(path).size).toBe(0);
});

test('F07: in place, the input is kept as a backup', async () => {
  writeFileSync(path, 'old');
  await writeAtomically(target([path]), bytes(10));
  expect(readFileSync(`${path}.bak`, 'utf8')).toBe('old');
  expect(readFileSync(path).length).toBe(10);
});

test('F08: a link stays a link', async () => {
  writeFileSync(path, 'old');
  const link = join(folder, 'link.gpx');
  symlinkSync('a.gpx', link);
  await writeAtomically(checkTarget(link, { force: true, inPlace: false, inputs: [] }), bytes(10));
  expect(readFileSync(path).length).toBe(10);
  expect(readdirSync(folder).sort()).toEqual(['a.gpx', 'link.gpx']);
});

test('F16: the mode of the replaced file is kept', async () => {
  writeFileSync(path, 'old');
  chmodSync(path, 0o640);
  await writeAtomically(target(), bytes(10));
  expect(statSync(path).mode & 0o777).toBe(0o640);
});

/** Returns a file system that counts its calls and fails at call number `at`, counted from 1. */
function failing(at: number, code: string): { system: FileSystem; calls: () => number } {
  let calls = 0;
  const count = (): void => {
    if (++calls === at) throw Object.assign(new Error(code), { code });
  };
  const system: FileSystem = {
    ...files,
    open: async (name, flags, mode) => {
      count();
      const handle = await files.open(name, flags, mode);
      return new Proxy(handle, {
        get(object, key) {
          const value = Reflect.get(object, key);
          if (typeof value !== 'function') return value;
          return async (...parameters: unknown[]) => {
            if (key === 'close') {
              await value.apply(object, parameters);
              count();
              return undefined;
            }
            count();
            // A short write, after which the rest must be written too.
            if (key === 'write' && (parameters[2] as number) > 1000) parameters[2] = 1000;
            return value.apply(object, parameters);
          };
        },
      });
    },
    rename: async (from, to) => {
      count();
      return files.rename(from, to);
    },
    copyFile: async (from, to, mode) => {
      count();
      return files.copyFile(from, to, mode);
    },
  };
  return { system, calls: () => calls };
}

describe('F04, F05: whichever call fails, the file is whole, old or new, and no temporary file is left', () => {
  test.each(['ENOSPC', 'EIO', 'EROFS', 'EFBIG'])('%s', async (code) => {
    const content = bytes(5000);
    const whole = failing(0, code);
    writeFileSync(path, 'old');
    await writeAtomically(target([path]), content, whole.system);
    rmSync(`${path}.bak`);
    let refused = 0;
    for (let at = 1; at <= whole.calls(); at++) {
      writeFileSync(path, 'old');
      const error = await writeAtomically(target([path]), content, failing(at, code).system).then(
        () => undefined,
        (reason: unknown) => reason,
      );
      const now = readFileSync(path);
      if (error === undefined) expect(now.equals(content)).toBe(true);
      else {
        refused++;
        expect(error).toBeInstanceOf(Refusal);
        expect((error as Refusal).message).toContain(systemError(code));
        expect((error as Refusal).message).toContain(path);
        expect(now.toString()).toBe('old');
      }
      expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
      if (error !== undefined) expect(existsSync(`${path}.bak`)).toBe(false);
      rmSync(`${path}.bak`, { force: true });
    }
    expect(refused).toBeGreaterThan(10);
  });
});

test('F14: when bytes read back differ, the write is refused and the old file stays', async () => {
  writeFileSync(path, 'old');
  const system: FileSystem = {
    ...files,
    open: async (name, flags, mode) => {
      if (flags === 'r' && String(name).endsWith('.tmp')) {
        const content = readFileSync(String(name));
        content[content.length >> 1] ^= 1;
        writeFileSync(String(name), content);
      }
      return files.open(name, flags, mode);
    },
  };
  await expect(writeAtomically(target(), bytes(5000), system)).rejects.toThrow(
    /not written: reading it back did not give the same bytes/,
  );
  expect(readFileSync(path, 'utf8')).toBe('old');
  expect(readdirSync(folder)).toEqual(['a.gpx']);
});

test('F14: a folder that cannot be synced is accepted', async () => {
  const system: FileSystem = {
    ...files,
    open: async (name, flags, mode) => {
      if (name === folder) throw Object.assign(new Error('EINVAL'), { code: 'EINVAL' });
      return files.open(name, flags, mode);
    },
  };
  await writeAtomically(target(), bytes(10), system);
  expect(readFileSync(path).length).toBe(10);
});

test('F01: temporary files of killed runs are removed at the next run, and those of current runs are not', async () => {
  const dead = join(folder, temporaryName(2 ** 22 + 5));
  const running = join(folder, temporaryName(process.ppid));
  writeFileSync(dead, 'x');
  writeFileSync(running, 'x');
  writeFileSync(join(folder, '.downslope-notes.tmp'), 'the user');
  await writeAtomically(target(), bytes(10));
  expect(existsSync(dead)).toBe(false);
  expect(existsSync(running)).toBe(true);
  expect(existsSync(join(folder, '.downslope-notes.tmp'))).toBe(true);
});

test('F12: two writers at once leave one of the two files whole', async () => {
  for (let round = 0; round < 20; round++) {
    const contents = [Buffer.alloc(300_000, 'a'), Buffer.alloc(200_000, 'b')];
    await Promise.all(contents.map((content) => writeAtomically(target(), content)));
    const now = readFileSync(path);
    expect(contents.some((content) => content.equals(now))).toBe(true);
  }
  expect(readdirSync(folder)).toEqual(['a.gpx']);
});

describe('F11, F19: inputs', () => {
  test('a file is read whole; a missing one and a folder are refused', () => {
    writeFileSync(path, 'abc');
    expect(Buffer.from(readInput(path)).toString()).toBe('abc');
    expect(() => readInput(join(folder, 'none.gpx'))).toThrow(/there is no such file/);
    expect(() => readInput(folder)).toThrow(/folder/);
  });
});
