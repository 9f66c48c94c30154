import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { bigLakeGpx, bigLakePlaces, writeBigLog } from '../../fixtures/lakes/big-lake.ts';
import { measureProcess, median } from './measure-process.ts';

const PROGRAM = resolve(import.meta.dirname, '../../program/cli.js');
const WAYPOINTS = 240;
const ROWS = 345_600;
const CORNERS = 20_000;
const ROUNDS = 3;

/** Compares a whole run with zones of many corners among the marks with the same run without zones. */
export const section = {
  name: 'zones',
  async run(print: (line: string) => void): Promise<void> {
    const folder = mkdtempSync(join(tmpdir(), 'downslope-zones-'));
    try {
      const path = (name: string): string => join(folder, name);
      writeBigLog(path('log.csv'), ROWS, 1);
      writeFileSync(path('marks.gpx'), bigLakeGpx(WAYPOINTS, 2));
      writeFileSync(path('zones.geojson'), JSON.stringify(zones()));
      const args = [PROGRAM, 'enrich', path('marks.gpx'), '--soundings', path('log.csv'), '--no-store'];
      const out = ['--out', path('out.gpx'), '--force', '--quiet', '--date', '2026-09-10'];
      const seconds: [without: number, with_: number][] = [];
      for (let round = 0; round < ROUNDS; round++) {
        const without = await measureProcess(process.execPath, [...args, ...out]);
        const zoned = await measureProcess(process.execPath, [
          ...args,
          ...out,
          '--zones',
          path('zones.geojson'),
        ]);
        seconds.push([without.cpuSeconds, zoned.cpuSeconds]);
      }
      const [none, some] = [0, 1].map((at) => median(seconds.map((round) => round[at])));
      const ratio = median(seconds.map(([without, zoned]) => zoned / without));
      print(`${ROWS} soundings, ${WAYPOINTS} waypoints, CPU, median of ${ROUNDS} alternating runs`);
      print(`  without zones                      ${none.toFixed(2).padStart(6)} s`);
      print(
        `  two zones of ${CORNERS} corners        ${some.toFixed(2).padStart(6)} s   ${ratio.toFixed(2)} times as long`,
      );
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  },
};

/** Makes a closed zone and a slow zone: ragged, overlapping rings across the lake. */
function zones(): object {
  const places = bigLakePlaces(WAYPOINTS, 2);
  const [lats, lons] = [places.map(({ lat }) => Number(lat)), places.map(({ lon }) => Number(lon))];
  const middle = [median(lons), median(lats)];
  const reach = [Math.max(...lons) - Math.min(...lons), Math.max(...lats) - Math.min(...lats)];
  const ring = (shift: number): number[][] => {
    const corners = Array.from({ length: CORNERS }, (_, corner) => {
      const angle = (2 * Math.PI * corner) / CORNERS;
      const away = 0.3 * (1 + 0.3 * Math.sin(41 * angle) + 0.02 * Math.sin(997 * angle));
      return [
        middle[0] + away * reach[0] * Math.cos(angle),
        middle[1] + (away * Math.sin(angle) + shift) * reach[1],
      ];
    });
    return [...corners, corners[0]];
  };
  const feature = (properties: object, shift: number): object => ({
    type: 'Feature',
    properties,
    geometry: { type: 'Polygon', coordinates: [ring(shift)] },
  });
  return {
    type: 'FeatureCollection',
    features: [
      feature({ name: 'closed', rule: 'closed' }, 0),
      feature({ name: 'slow', rule: 'slow', speed: '5mph' }, 0.1),
    ],
  };
}
