import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const LOG = `time,lat,lon,depth_m\n${Array.from({ length: 2000 }, (_, i) => {
  const [row, step] = [Math.floor(i / 50), i % 50];
  return `${1_760_000_000 + i},${(40 + row * 3e-5).toFixed(6)},${(-90 + step * 3e-5).toFixed(6)},${(3 + row / 5).toFixed(2)}`;
}).join('\n')}\n`;

test('the limits of a chartplotter are learned from its export, and a run with --unit keeps to them', () => {
  const folder = makeFolder();
  const env = { XDG_CONFIG_HOME: join(folder, 'settings') };
  const run = (...args: string[]) => runProgram(args, { cwd: folder, env, timeout: 60_000 });
  write(folder, 'marks.gpx', gpxOf([{ name: 'Long points', lat: 40.0006, lon: -89.99925 }]));
  write(folder, 'log.csv', LOG);
  expect(run('enrich', 'marks.gpx', '--soundings', 'log.csv').status).toBe(0);
  const given = readFileSync(join(folder, 'marks.enriched.gpx'), 'utf8');
  expect(given.match(/<wpt /g)?.length).toBeGreaterThan(1);
  const back = given
    .replace(/\s*<extensions>[\s\S]*?<\/extensions>/g, '')
    .replace(/<cmt>([^<]{0,40})[^<]*<\/cmt>/g, '<cmt>$1</cmt>')
    .replace(/<name>([^<]*)</g, (_, name: string) => `<name>${name.slice(0, 11).toUpperCase()}<`);
  write(folder, 'export.gpx', back);

  const { status, stdout, stderr } = run('unit', 'export.gpx', '--soundings', 'log.csv', '--save', 'bow');
  expect(status, stderr).toBe(0);
  for (const line of ['names cut to 11 characters', 'names in capitals', 'text cut to 40 characters'])
    expect(stdout).toContain(`seen   ${line}`);
  expect(run('enrich', 'marks.gpx', '--soundings', 'log.csv', '--unit', 'bow', '--force').status).toBe(0);
  const written = readFileSync(join(folder, 'marks.enriched.gpx'), 'utf8');
  for (const [, name] of written.matchAll(/<name>([^<]*)</g)) expect(name).toMatch(/^[^a-z]{1,11}$/);
  for (const [, comment] of written.matchAll(/<cmt>([^<]*)</g))
    expect(comment.length).toBeLessThanOrEqual(40);
  expect(written).toMatch(/<cmt>[\d.-]+(?:-[\d.]+)?ft \d+ft diver/);

  const unknown = run('enrich', 'marks.gpx', '--unit', 'stern');
  expect([unknown.status, unknown.stderr.trim()]).toEqual([
    2,
    'error option/value: --unit "stern" is not one of your saved units: bow.',
  ]);
  expect(run('unit', 'export.gpx', '--save', '../bow').status).toBe(2);
});
