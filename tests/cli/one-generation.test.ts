import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const MARKS = [
  { name: 'Point', lat: 40, lon: -90, comment: '12 ft' },
  { name: 'Hump', lat: 40.001, lon: -90 },
];
const sha256 = (path: string): string => createHash('sha256').update(readFileSync(path)).digest('hex');

test('the record of outputs shows that a run was stopped, and which figures of an earlier run to remove', () => {
  const folder = makeFolder();
  const path = (name: string): string => join(folder, name);
  const marks = write(folder, 'marks.gpx', gpxOf(MARKS));
  const enrich = (...args: string[]) =>
    runProgram(['enrich', marks, '--table', path('t.csv'), '--svg', path('figures'), ...args], {
      timeout: 60_000,
    });
  const manifests = (): string[] =>
    readdirSync(path('.downslope'))
      .filter((name) => name.startsWith('outputs-'))
      .map((name) => path(`.downslope/${name}`));

  const first = enrich();
  expect(first.status, first.stderr).toBe(0);
  const [file] = manifests();
  const manifest = JSON.parse(readFileSync(file, 'utf8'));
  expect(manifest.state).toBe('done');
  expect(manifest.command).toBe('enrich');
  expect(manifest.inputs.map((input: { path: string }) => input.path)).toContain(marks);
  for (const output of manifest.outputs) expect(sha256(output.path)).toBe(output.sha256);
  const figures = readdirSync(path('figures'));
  expect(figures.length).toBeGreaterThan(0);

  // The state after a kill between two renames: the enriched file is new, and the table is old.
  const table = manifest.outputs.find((output: { path: string }) => output.path.endsWith('t.csv'));
  writeFileSync(
    file,
    JSON.stringify({
      ...manifest,
      state: 'writing',
      process: 2 ** 30,
      outputs: manifest.outputs.map((output: object) =>
        output === table ? { ...table, sha256: '0' } : output,
      ),
    }),
  );
  const stopped = enrich();
  expect(stopped.status).toBe(1);
  expect(stopped.stderr).toMatch(
    /warning store\/mixed-outputs: These files are from two different runs.*marks\.enriched\.gpx.*From the older run: .*t\.csv\. Run again with --force\./,
  );

  // A figure recorded by an earlier run is removed, and the user's own files stay.
  const earlier = path('figures/earlier.svg');
  const own = path('figures/own.svg');
  for (const name of [earlier, own]) writeFileSync(name, '<svg/>');
  const noted = { path: earlier, bytes: 6, sha256: sha256(earlier) };
  writeFileSync(file, JSON.stringify({ ...manifest, outputs: [...manifest.outputs, noted] }));
  const again = enrich('--force');
  expect(again.status, again.stderr).toBe(0);
  expect(again.stderr).not.toContain('mixed');
  expect(readdirSync(path('figures')).sort()).toEqual([...figures, 'own.svg'].sort());
  expect(manifests()).toHaveLength(1);
  rmSync(folder, { recursive: true });
});
