import { mkdirSync, readFileSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const LOG = `time,lat,lon,depth_m\n${Array.from({ length: 400 }, (_, i) => {
  const [row, step] = [Math.floor(i / 40), i % 40];
  return `${1_760_000_000 + i},${(40 + row * 6e-5).toFixed(6)},${(-90 + step * 3e-5).toFixed(6)},${(3 + row / 5).toFixed(2)}`;
}).join('\n')}\n`;

test.each([
  ['under the logs', 'sonar', '.'],
  ['under the waypoint folder', 'marks', '.'],
  ["in the lake's folder", '.', '.'],
  ['through a link to the folder', 'link/sonar', 'link'],
])('running the same command twice gives the same result with outputs %s', (_, out, from) => {
  const lake = makeFolder();
  for (const name of ['sonar', 'marks']) mkdirSync(join(lake, name));
  symlinkSync('.', join(lake, 'link'));
  write(join(lake, 'marks'), 'marks.gpx', gpxOf([{ name: 'Long point', lat: 40.0003, lon: -89.9994 }]));
  write(join(lake, 'sonar'), 'log.csv', LOG);
  const at = (name: string): string => join(lake, out, name);
  const run = () =>
    runProgram(
      [
        ...['enrich', join(lake, from, 'marks'), '--soundings', join(lake, from, 'sonar'), '--force'],
        ...['--out', at('out'), '--table', at('t.csv'), '--geojson', at('g.geojson'), '--quiet'],
      ],
      { cwd: lake, timeout: 60_000 },
    );
  mkdirSync(at('out'));
  const outputs = (): string[] =>
    ['out/marks.enriched.gpx', 't.csv', 'g.geojson'].map((name) => readFileSync(at(name), 'utf8'));
  const first = run();
  expect(first.status, first.stderr).toBe(0);
  const before = outputs();
  const second = run();
  expect(second.status, second.stderr).toBe(0);
  expect(outputs()).toEqual(before);
});
