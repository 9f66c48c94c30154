import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import geomagnetism from 'geomagnetism';
import { describe, expect, it } from 'vitest';
import { magneticDeclination, toMagnetic } from '../../shared/geo/magnetic.ts';

// WMM2025_TEST_VALUES.txt (NOAA/NCEI and BGS, public domain): year, altitude km, lat, lon, declination deg.
const OFFICIAL = [
  [2025.0, 0, 80, 0, 1.28],
  [2025.0, 0, 0, 120, -0.16],
  [2025.0, 0, -80, 240, 68.78],
  [2025.0, 100, 80, 0, 0.85],
  [2025.0, 100, 0, 120, -0.15],
  [2025.0, 100, -80, 240, 68.21],
  [2027.5, 0, 80, 0, 2.59],
  [2027.5, 0, 0, 120, -0.24],
  [2027.5, 0, -80, 240, 68.49],
  [2027.5, 100, 80, 0, 2.16],
  [2027.5, 100, 0, 120, -0.23],
  [2027.5, 100, -80, 240, 67.93],
] as const;

const dayOf = (year: number) =>
  new Date(Date.UTC(Math.floor(year)) + (year % 1) * 365 * 86400e3).toISOString().slice(0, 10);

describe('magneticDeclination', () => {
  it('gives the official WMM2025 test values at sea level', () => {
    for (const [year, altitude, lat, lon, expected] of OFFICIAL) {
      if (altitude !== 0) continue;
      const found = magneticDeclination(lat, lon, dayOf(year));
      // 0.005 deg of rounding plus less than a day of secular variation.
      expect('declination' in found && Math.abs(found.declination - expected)).toBeLessThan(0.0065);
    }
  });

  it('relies on a package that gives all 12 official WMM2025 test values', () => {
    for (const [year, altitude, lat, lon, expected] of OFFICIAL) {
      const date = new Date(Date.UTC(Math.floor(year)) + (year % 1) * 365 * 86400e3);
      expect(Math.abs(geomagnetism.model(date).point([lat, lon, altitude]).decl - expected)).toBeLessThan(
        0.0051,
      );
    }
  });

  it('relies on a package that gives its own 100 rows of NOAA values for WMM2025', () => {
    const file = createRequire(import.meta.url).resolve('geomagnetism/test/values.csv');
    const rows = readFileSync(file, 'utf8')
      .split(/\r?\n/)
      .slice(1)
      .map((row) => row.split(',').map(Number));
    const current = rows.filter(([year]) => year >= 2025);
    expect(current.length).toBeGreaterThanOrEqual(100);
    for (const [year, altitude, lat, lon, , , , horizontal, , , expected] of current) {
      const date = new Date(Date.UTC(Math.floor(year)) + (year % 1) * 365 * 86400e3);
      if (date.getTime() > Date.UTC(2029, 10, 13)) continue;
      const found = geomagnetism.model(date).point([lat, lon, altitude]).decl;
      expect(Math.abs(found - expected), `${lat},${lon} ${horizontal} nT`).toBeLessThan(0.0055);
    }
  });

  it('reports a day that the model does not cover', () => {
    expect(magneticDeclination(45, -93, '2029-11-13')).toEqual({ unknown: 'date' });
    expect(magneticDeclination(45, -93, '2014-12-14')).toEqual({ unknown: 'date' });
    expect(magneticDeclination(45, -93, '2029-11-12')).toHaveProperty('declination');
  });

  it('reports a place near a magnetic pole', () => {
    expect(magneticDeclination(85.8, 139, '2025-06-01')).toEqual({ unknown: 'magnetic-pole' });
  });
});

describe('toMagnetic', () => {
  it('subtracts east declination from the true bearing', () => {
    expect(toMagnetic(5, 10)).toBe(355);
    expect(toMagnetic(355, -10)).toBe(5);
  });
});
