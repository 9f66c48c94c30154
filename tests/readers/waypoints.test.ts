import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { readGpx } from '../../src/formats/gpx/read-gpx.ts';
import { gpxOf, makeFolder, runProgram, write } from '../cli/run-program.ts';

const point = (coordinates: readonly number[], properties: Record<string, unknown>) => ({
  type: 'Feature',
  properties,
  geometry: { type: 'Point', coordinates },
});

describe('waypoints in files other than GPX', () => {
  test('points of GeoJSON with their names, comments and symbols become waypoints of the enriched GPX file', () => {
    const folder = makeFolder();
    const features = [
      point([-90.123456789, 40.5], { name: 'Ledge & "lip"', cmt: '22-27 ft', sym: 'Fish' }),
      point([-90.2, 40.6], {}),
    ];
    write(folder, 'marks.geojson', JSON.stringify({ type: 'FeatureCollection', features }));
    const { status, stderr } = runProgram(['enrich', 'marks.geojson'], { cwd: folder });
    expect(status, stderr).toBe(0);
    const { waypoints } = readGpx(readFileSync(join(folder, 'marks.enriched.gpx')), 'marks.enriched.gpx');
    expect(waypoints.map(({ name, lat, lon, symbol }) => [name, lat, lon, symbol])).toEqual([
      ['Ledge & "lip"', 40.5, -90.123456789, 'Fish'],
      ['', 40.6, -90.2, ''],
    ]);
  });

  test('a gzipped GPX file is read like the GPX file in it', () => {
    const folder = makeFolder();
    const gpx = gpxOf([{ name: 'A1', lat: 40.5, lon: -90.1 }]);
    writeFileSync(join(folder, 'marks.gpx.gz'), gzipSync(gpx));
    const { status, stderr } = runProgram(['enrich', 'marks.gpx.gz', '--out', 'out.gpx'], { cwd: folder });
    expect(status, stderr).toBe(0);
    expect(readFileSync(join(folder, 'out.gpx'), 'utf8')).toContain('<name>A1</name>');
  });

  test('a file of a known format without waypoints is refused by name', () => {
    const folder = makeFolder();
    write(
      folder,
      'a.nmea',
      '$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\n$SDDPT,5.0,0.0*68\n',
    );
    const { status, stderr } = runProgram(['enrich', 'a.nmea'], { cwd: folder });
    expect(status).toBe(1);
    expect(stderr).toContain('a.nmea: error soundings/nothing-inside');
  });
});
