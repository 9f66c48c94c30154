import { describe, expect, it } from 'vitest';
import { bearingPreference, parseWind, windFactor, windOnCast } from '../../shared/retrieve/wind.ts';

describe('parseWind', () => {
  it('reads the speed, and the direction from which the wind comes', () => {
    expect(parseWind('210@12mph')).toEqual({ from: 210, speed: 12 * 0.44704 });
    expect(parseWind('360 @ 5 m/s')).toEqual({ from: 0, speed: 5 });
    expect(parseWind('45.5@10kn')?.speed).toBeCloseTo((10 * 1852) / 3600, 9);
    expect(parseWind('0@18km/h')?.speed).toBeCloseTo(5, 9);
  });

  // The compass rose: sixteen points, 22.5 degrees apart, clockwise from north.
  it.each([
    ['N', 0],
    ['NNE', 22.5],
    ['NE', 45],
    ['ENE', 67.5],
    ['E', 90],
    ['ESE', 112.5],
    ['SE', 135],
    ['SSE', 157.5],
    ['S', 180],
    ['SSW', 202.5],
    ['SW', 225],
    ['WSW', 247.5],
    ['W', 270],
    ['WNW', 292.5],
    ['NW', 315],
    ['NNW', 337.5],
    ['south-west', 225],
    ['North West', 315],
  ])('reads %s as %d degrees', (name, from) => {
    expect(parseWind(`${name}@10kn`)?.from).toBe(from);
  });

  it('refuses anything that is not a wind', () => {
    for (const text of ['', '210', '210@12', '400@12mph', '210@300mph', '-10@5mph', 'SX@5mph', 'SW@5'])
      expect(parseWind(text)).toBeUndefined();
  });
});

describe('effect of wind and current', () => {
  const south = { from: 180, speed: 5 };

  it('shortens a cast by 4 % per m/s of headwind and 1 % of crosswind, and lengthens it by 3 % of tailwind', () => {
    expect(windFactor(undefined, 10)).toBe(1);
    expect(windFactor(south, 180)).toBeCloseTo(0.8, 9);
    expect(windFactor(south, 0)).toBeCloseTo(1.15, 9);
    expect(windFactor(south, 90)).toBeCloseTo(0.95, 9);
  });

  it('keeps a cast between 0.5 and 1.3 times its length in any wind', () => {
    const gale = { from: 0, speed: 30 };
    expect(windFactor(gale, 0)).toBe(0.5);
    expect(windFactor(gale, 180)).toBe(1.3);
  });

  it('describes a cast relative to the wind, except in light air', () => {
    expect(windOnCast(south, 150)).toBe('into');
    expect(windOnCast(south, 90)).toBe('across');
    expect(windOnCast(south, 350)).toBe('with');
    expect(windOnCast({ from: 180, speed: 2 }, 180)).toBeUndefined();
    expect(windOnCast(undefined, 180)).toBeUndefined();
  });

  it('prefers the retrieve with the current and the cast out of the wind, within 5 %', () => {
    expect(bearingPreference(undefined, undefined)).toBeUndefined();
    const current = bearingPreference(undefined, 90);
    expect(current?.(270)).toBeCloseTo(0.03, 9);
    expect(current?.(90)).toBeCloseTo(-0.03, 9);
    const wind = bearingPreference({ from: 0, speed: 10 }, undefined);
    expect(wind?.(0)).toBeCloseTo(-0.02, 9);
    expect(wind?.(180)).toBeCloseTo(0, 9);
  });
});
