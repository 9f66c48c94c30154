import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { mapSystem } from '../../shared/geo/projection.ts';

/** Positions in map grids, converted to WGS 84 by PROJ 9.1.1. */
const PLACES = readFileSync(resolve(import.meta.dirname, '../../fixtures/formats/map-grids.csv'), 'utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => line.split(',').map(Number));
/** Grids on datums other than WGS 84. */
const OLD_DATUMS = [27700, 28992, 2056, 31370, 31467, 2393, 31256];

async function away(said: string, x: number, y: number, lon: number, lat: number): Promise<number> {
  const system = await mapSystem(said);
  if (typeof system === 'string') throw new Error(system);
  const [foundLon, foundLat] = system.toDegrees(x, y);
  return Math.hypot(...localFrame(lat, lon).toLocal(foundLat, foundLon));
}

describe('map grids', () => {
  test.each(PLACES)('EPSG:%d agrees with PROJ', async (code, x, y, lon, lat) => {
    const isOld = OLD_DATUMS.includes(code);
    const system = await mapSystem(`EPSG:${code}`);
    expect(system).toMatchObject({ isApproximate: isOld });
    expect(await away(`EPSG:${code}`, x, y, lon, lat)).toBeLessThan(isOld ? 5 : 0.01);
  });

  // Worked examples of EPSG Guidance Note 7-2 (IOGP Publication 373-7-2).
  test('ETRS89 / LAEA Europe: the worked example of the guidance note', async () => {
    expect(await away('EPSG:3035', 3962799.45, 2999718.85, 5, 50)).toBeLessThan(0.01);
  });

  test('WGS 84 / Pseudo-Mercator: the worked example of the guidance note', async () => {
    const [lat, lon] = [24 + 22 / 60 + 54.433 / 3600, -(100 + 20 / 60)];
    expect(await away('EPSG:3857', -11169055.58, 2800000, lon, lat)).toBeLessThan(0.02);
  });

  test('British National Grid: the worked example of the guidance note, on its own datum', async () => {
    const airy =
      'PROJCS["grid",GEOGCS["g",DATUM["d",SPHEROID["s",6378137,299.3249646]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",49],PARAMETER["central_meridian",-2],PARAMETER["scale_factor",0.9996012717],PARAMETER["false_easting",400000],PARAMETER["false_northing",-100000],UNIT["metre",1]]';
    // The coordinates are for the axis of Airy. A transverse Mercator is proportional to the axis.
    const scale = 6378137 / 6377563.396;
    const x = 400000 + (577274.99 - 400000) * scale;
    const y = -100000 + (69740.5 + 100000) * scale;
    expect(await away(airy, x, y, 0.5, 50.5)).toBeLessThan(0.02);
  });

  test.each([
    ['EPSG:26713', 'datum'],
    ['EPSG:2385', 'datum'],
    ['EPSG:9999', 'unknown'],
    ['EPSG:32661000', 'unknown'],
    ['PROJCS["nonsense"', 'unknown'],
  ])('%s cannot be used: %s', async (said, fault) => {
    expect(await mapSystem(said)).toBe(fault);
  });
});
