import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const CONFIG = `units: m
limit-sets:
  bow:
    max-name: 6
    plain: on
  console:
    max-name: 30
`;

function run(args: readonly string[]) {
  const folder = makeFolder();
  write(folder, 'marks.gpx', gpxOf([{ name: 'Long bar at the mouth', lat: 40, lon: -90 }]));
  write(folder, 'c.yaml', CONFIG);
  const result = runProgram(['enrich', 'marks.gpx', '--config', 'c.yaml', '--quiet', ...args], {
    cwd: folder,
  });
  return { ...result, gpx: () => readFileSync(join(folder, 'marks.enriched.gpx'), 'utf8') };
}

describe('limit sets of a configuration', () => {
  test('apply with --limits NAME, and the command line takes precedence', () => {
    expect(run([]).gpx()).toContain('<name>Long bar at the mouth</name>');
    expect(run(['--limits', 'bow']).gpx()).not.toContain('<name>Long bar at the mouth</name>');
    expect(run(['--limits', 'bow', '--max-name', '40']).gpx()).toContain(
      '<name>Long bar at the mouth</name>',
    );
  });

  test('an unknown name is refused with a list of the known ones', () => {
    const { status, stderr } = run(['--limits', 'stern']);
    expect(status).toBe(2);
    expect(stderr.trim()).toBe(
      'error option/value: --limits "stern" is not one of the limit-sets in the file of --config: bow, console.',
    );
  });
});
