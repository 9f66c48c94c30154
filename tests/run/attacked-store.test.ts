import { execFileSync } from 'node:child_process';
import { chmodSync, existsSync, mkdirSync, readdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, WITHOUT_MODELS, write } from '../cli/run-program.ts';

const rows = Array.from({ length: 400 }, (_, i) => {
  const lat = 40 + Math.floor(i / 40) * 1e-4;
  return `${lat.toFixed(6)},${(-90 + (i % 40) * 5e-5).toFixed(6)},${(4 + (i % 40) / 10).toFixed(2)}`;
});

/** Makes a lake with one log, and returns a function that runs the program on it, for at most 60 s. */
function newLake() {
  const folder = makeFolder();
  mkdirSync(join(folder, 'logs'));
  write(join(folder, 'logs'), 'a.csv', `lat,lon,depth_m\n${rows.join('\n')}\n`);
  write(folder, 'marks.gpx', gpxOf([{ name: 'A', lat: 40.0005, lon: -89.999 }]));
  const run = () =>
    runProgram(['enrich', 'marks.gpx', '--soundings', 'logs', '--force', ...WITHOUT_MODELS], {
      cwd: folder,
      timeout: 60_000,
    });
  return { folder, store: join(folder, 'logs', '.downslope'), run };
}

describe('something else in place of the store', () => {
  test.each(['a.csv.arrow', 'given-out.json'])('a pipe named %s is skipped', (name) => {
    const { store, run } = newLake();
    mkdirSync(store);
    execFileSync('mkfifo', [join(store, name)]);
    const { status, stderr } = run();
    expect(status).toBe(0);
    expect(stderr).toContain(name);
  });

  test('a link in place of its folder is not followed', () => {
    const { folder, store, run } = newLake();
    const outside = makeFolder();
    symlinkSync(outside, store);
    expect(run().status).toBe(0);
    expect(readdirSync(outside)).toEqual([]);
    expect(existsSync(join(folder, 'marks.enriched.gpx'))).toBe(true);
  });

  test.each(['a.csv.arrow', 'given-out.json'])('a link named %s is not followed', (name) => {
    const { store, run } = newLake();
    const outside = write(makeFolder(), 'precious', 'precious');
    mkdirSync(store);
    symlinkSync(outside, join(store, name));
    expect(run().status).toBe(0);
    expect(execFileSync('cat', [outside], { encoding: 'utf8' })).toBe('precious');
  });

  test.each(['a.csv.arrow', 'given-out.json'])('a folder named %s is skipped', (name) => {
    const { store, run } = newLake();
    mkdirSync(join(store, name), { recursive: true });
    expect(run().status).toBe(0);
  });

  test('a file in place of its folder is to be renamed or removed', () => {
    const { store, run } = newLake();
    writeFileSync(store, '');
    const { status, stderr } = run();
    expect(status).toBe(0);
    expect(stderr).toContain('Rename or remove .downslope so that a folder can be made in its place, or add');
    expect(stderr).not.toContain('writable');
  });

  test('a folder in place of a stored log is to be renamed or removed', () => {
    const { store, run } = newLake();
    mkdirSync(join(store, 'a.csv.arrow'), { recursive: true });
    expect(run().stderr).toContain(
      '(a.csv.arrow is a folder). Rename or remove a.csv.arrow, or add --no-store.',
    );
  });

  test('a folder that cannot be written is to be made writable', () => {
    const { store, run } = newLake();
    mkdirSync(store);
    chmodSync(store, 0o555);
    expect(run().stderr).toContain('Make the folder writable, or add --no-store.');
  });
});
