import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { writeDemo } from '../../fixtures/demo/make-demo.ts';
import { runProgram } from './run-program.ts';

const cwd = mkdtempSync(join(tmpdir(), 'downslope-since-'));
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

const SETTINGS = [
  ...['--config', 'demo/downslope.yaml', '--date', '2025-10-11', '--force', '--no-store'],
  ...['--without', 'structure,lake-place,next-angles'],
];
const enrich = (input: string, logs: string, out: string) =>
  runProgram(['enrich', input, '--soundings', logs, '--out', out, ...SETTINGS], { cwd });
const bytes = (name: string): string => readFileSync(join(cwd, name), 'utf8');

/** Returns the true bearings of the deep-side casts in an enriched file, deg, in the order of the file. */
const bearings = (name: string): number[] =>
  [...bytes(name).matchAll(/downslope_cast_true[^>]*>(\d+)</g)].map(([, text]) => Number(text));

beforeAll(() => {
  writeDemo(join(cwd, 'demo'));
  const [head, ...marks] = bytes('demo/practice.gpx').split(/(?=^ *<wpt )/m);
  writeFileSync(join(cwd, 'demo', 'practice.gpx'), `${head}${marks.slice(0, 5).join('')}</gpx>\n`);
  const copy = (folder: string, day: string): void => {
    mkdirSync(join(cwd, folder), { recursive: true });
    copyFileSync(join(cwd, 'demo', 'sonar', day), join(cwd, folder, day));
  };
  copy('first', 'sonar-2025-10-09.csv');
  for (const day of ['sonar-2025-10-09.csv', 'sonar-2025-10-10.csv']) copy('both', day);
  expect(enrich('demo/practice.gpx', 'first', 'first.gpx').status).toBeLessThan(2);
});

describe('the output of an earlier run as input', () => {
  test('gives the same bytes again on the same logs, and lists no changes', () => {
    const again = enrich('first.gpx', 'first', 'again.gpx');
    expect(bytes('again.gpx')).toBe(bytes('first.gpx'));
    expect(again.stderr).not.toContain('Since last time');
  });

  test('gives, with more logs, an output that another run does not change', () => {
    enrich('first.gpx', 'both', 'second.gpx');
    enrich('second.gpx', 'both', 'third.gpx');
    expect(bytes('third.gpx')).toBe(bytes('second.gpx'));
    expect(bearings('second.gpx').length).toBeGreaterThanOrEqual(bearings('first.gpx').length);
  });

  test('lists casts that turned or moved with the reason, in the terminal and on the page', () => {
    const noted = bytes('first.gpx').replace(/fish 17-22 ft/, 'fish 24-27 ft');
    writeFileSync(join(cwd, 'noted.gpx'), noted);
    const { stderr } = runProgram(
      [...'enrich noted.gpx --soundings first --out changed.gpx --report page.html'.split(' '), ...SETTINGS],
      { cwd },
    );
    const list = stderr.slice(stderr.indexOf('Since last time:'));
    expect(list).toMatch(
      /^Since last time:\n {3}A1: the deep-side cast (turned from \d{3}M to \d{3}M|moved \d+ yd|is gone); the plan was for fish at 17-22 ft then, at 24-27 ft now\.\n/,
    );
    expect(bytes('page.html')).toMatch(/<h2 id="since">Since last time<\/h2><ul class="notes"><li><b>A1:/);
  });
});
