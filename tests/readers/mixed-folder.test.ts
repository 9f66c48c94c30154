import { cpSync, existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { readCsvFile } from '../../src/formats/csv/csv-file.ts';
import { gpxOf, makeFolder, runProgram, WITHOUT_CASTS, write } from '../cli/run-program.ts';

const LAKE = resolve(import.meta.dirname, '../../fixtures/formats/lake');
/** Marks at the center of a plane, 12 m deep there with a gradient of 0.12, and 20 m west and east of it. */
const MARKS = gpxOf([
  { name: 'W', lat: 60.1733148, lon: 25.2513024 },
  { name: 'M', lat: 60.1733211, lon: 25.2516627 },
  { name: 'E', lat: 60.1733274, lon: 25.252023 },
]);
const DEPTHS = [9.6, 12, 14.4];
/** True bearing of grid east in EPSG:3067 here, deg; the meridian convergence is -1.52 degrees. */
const ASPECT = 90 - 1.52;

let folder: string;
beforeAll(() => {
  folder = makeFolder();
  cpSync(LAKE, join(folder, 'logs'), { recursive: true });
  write(folder, 'marks.gpx', MARKS);
  write(
    folder,
    'lake.yaml',
    'logs:\n  "*.xyz": { crs: EPSG:3067, depth-unit: m }\n  projected.*: { crs: EPSG:3067 }\n',
  );
  const grid = 'depth-unit: m\nvertical: down\n';
  write(join(folder, 'logs'), 'grid.asc.yaml', `crs: EPSG:3067\n${grid}`);
  write(join(folder, 'logs'), 'grid.tif.yaml', grid);
});

const enrich = (...more: string[]) =>
  runProgram(
    [
      'enrich',
      'marks.gpx',
      '--soundings',
      'logs',
      '--config',
      'lake.yaml',
      '--table',
      'table.csv',
      '--units',
      'm',
      '--force',
      ...more,
    ],
    {
      cwd: folder,
    },
  );

describe('a folder of twelve formats', () => {
  test('is read as one survey of one plane, with its depth, slope and aspect', async () => {
    const { status, stderr } = enrich('--json');
    expect(status, stderr).toBe(0);
    const { rows } = await readCsvFile(join(folder, 'table.csv'));
    expect(rows.map(({ values }) => values.waypoint)).toEqual(['W', 'M', 'E']);
    for (const [i, { values }] of rows.entries()) {
      expect(Math.abs(Number(values.depth_m) - DEPTHS[i])).toBeLessThan(0.1);
      expect(Math.abs(Number(values.slope_deg) - (Math.atan(0.12) * 180) / Math.PI)).toBeLessThan(0.3);
      expect(Math.abs(Number(values.aspect_deg) - ASPECT)).toBeLessThan(2);
    }
  });

  test('check lists what was read from each file', () => {
    const { status, stdout, stderr } = runProgram(['check', '--soundings', 'logs', '--config', 'lake.yaml'], {
      cwd: folder,
    });
    expect(status, stderr).toBe(0);
    expect(stdout).toContain('Logs: 12');
    expect(stdout).toContain('grid.tif: 728 rows read, 728 used, 0 dropped');
    expect(stdout).toContain('sounder.nmea: 41 rows read, 41 used, 0 dropped');
  });

  test('a bad file is named with its reason and does not stop other files, and the exit status is 1', () => {
    rmSync(join(folder, 'logs/grid.tif.yaml'));
    write(join(folder, 'logs'), 'broken.csv', 'lat,lon\n1,2\n');
    const { status, stderr } = enrich('--no-store', ...WITHOUT_CASTS);
    expect(status).toBe(1);
    expect(stderr).toContain('left out, for the reasons above: logs/broken.csv, logs/grid.tif');
    expect(stderr).toMatch(/logs\/grid\.tif: error soundings\/depth-unit: .*--depth-unit/);
    expect(existsSync(join(folder, 'marks.enriched.gpx'))).toBe(true);
    const check = runProgram(['check', '--soundings', 'logs', '--config', 'lake.yaml'], { cwd: folder });
    expect(check.status).toBe(1);
    expect(check.stdout).toContain('Logs left out: 2');
    rmSync(join(folder, 'logs/broken.csv'));
  });

  test('check --save writes the settings that repair a log next to it, and the next run needs no more options', () => {
    const named = ['--soundings', 'logs/grid.tif', '--depth-unit', 'm', '--vertical', 'down'];
    const { status, stderr } = runProgram(['check', ...named, '--save'], { cwd: folder });
    expect(status, stderr).toBe(0);
    expect(readFileSync(join(folder, 'logs/grid.tif.yaml'), 'utf8')).toBe('depth-unit: m\nvertical: down\n');
    expect(enrich(...WITHOUT_CASTS).status).toBe(0);
    const again = runProgram(['check', ...named, '--save'], { cwd: folder });
    // Saving the same settings again is not a fault.
    expect(again.status, again.stderr).toBe(0);
  });

  test('settings of a file that do not say how to read it are refused with file and line', () => {
    writeFileSync(join(folder, 'logs/degrees.csv.yaml'), '\ndraft: 3ft\n');
    const { status, stderr } = enrich();
    expect(status).toBe(2);
    expect(stderr).toContain('degrees.csv.yaml:2');
    rmSync(join(folder, 'logs/degrees.csv.yaml'));
  });

  test('a reader left out by name reads nothing', () => {
    const { stdout, status } = runProgram(
      ['check', '--soundings', 'logs', '--config', 'lake.yaml', '--without', 'nmea,zip'],
      { cwd: folder },
    );
    expect(status).toBe(0);
    expect(stdout).toContain('Logs: 10');
  });
});
