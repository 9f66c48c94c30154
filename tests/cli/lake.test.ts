import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { readGpx } from '../../src/formats/gpx/read-gpx.ts';
import { makeFolder, runProgram, write } from './run-program.ts';

const hump = (east: number, north: number): number => 9 - 5 * Math.exp(-(east ** 2 + north ** 2) / 1250);

function lakeFolder(): string {
  const folder = makeFolder();
  const { lat, lon, depth, time, count } = toSoundings(
    simulateSurvey({ depth: hump }, { seed: 3, spacing: 20, radius: 120, noise: 0.03 }),
    37,
    -86,
  );
  const rows = Array.from({ length: count }, (_, k) =>
    [Math.round(time[k]), lat[k].toFixed(7), lon[k].toFixed(7), depth[k].toFixed(2)].join(','),
  );
  write(folder, 'log.csv', `time,lat,lon,depth_m\n${rows.join('\n')}\n`);
  return folder;
}

describe('downslope lake', () => {
  test('prints the forms of the lake, and writes layers and lines that other programs can read', () => {
    const folder = lakeFolder();
    const args = 'lake log.csv --units m --layers layers --lines lines.gpx --isobaths 1m'.split(' ');
    const { status, stdout, stderr } = runProgram(args, { cwd: folder });
    expect(status, stderr).toBe(0);
    expect(stdout).toMatch(/^\d+\.\d ha sounded$/m);
    expect(stdout).toMatch(/^hump +top in 4m, \dm of relief, at 37\.000\d+, -8[56]\.\d+ \(\d+% sure\)$/m);
    expect(readdirSync(join(folder, 'layers')).sort()).toEqual([
      'areas.geojson',
      'depth-sd.asc',
      'depth-sd.prj',
      'depth.asc',
      'depth.prj',
      'depth.tif',
      'isobaths.geojson',
      'lines.geojson',
    ]);
    for (const name of ['areas', 'isobaths', 'lines']) {
      const layer = JSON.parse(readFileSync(join(folder, 'layers', `${name}.geojson`), 'utf8'));
      expect(layer.type).toBe('FeatureCollection');
      expect(
        new Set(layer.features.map(({ geometry }: { geometry: { type: string } }) => geometry.type)).size,
      ).toBe(1);
    }
    expect(() => readGpx(readFileSync(join(folder, 'lines.gpx')), 'lines.gpx')).not.toThrow();

    const again = runProgram(args, { cwd: folder });
    expect(again.status).toBe(1);
    expect(again.stderr).toContain('--force');
    expect(runProgram([...args, '--force'], { cwd: folder }).stdout).toBe(stdout);
  });

  test('reports that there are no soundings', () => {
    const folder = makeFolder();
    const none = runProgram(['lake'], { cwd: folder });
    expect(none.status).toBe(2);
    expect(none.stderr).toContain('no depths to model');
    write(folder, 'log.csv', 'time,lat,lon,depth_m\n');
    expect(runProgram(['lake', 'log.csv'], { cwd: folder }).status).toBe(1);
  });
});
