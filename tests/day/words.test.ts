import { describe, expect, test } from 'vitest';
import { markNames } from '../../shared/day/marks.ts';
import { gainOver, KG_PER_LB, parseWeight, weightBelief } from '../../shared/day/sizes.ts';
import { normalBelow } from '../../shared/math/statistics.ts';
import { parseWind } from '../../shared/retrieve/wind.ts';
import { nearNames } from '../../shared/text/near-names.ts';
import { parseClock, parseDay } from '../../shared/text/time.ts';

const clock = (hours: number, minutes = 0): number => hours * 3600 + minutes * 60;

describe('times, days, winds and names as people write them', () => {
  test.each([
    ['7:15', clock(7, 15)],
    ['07:15', clock(7, 15)],
    ['0715', clock(7, 15)],
    ['7.15', clock(7, 15)],
    ['2:40pm', clock(14, 40)],
    ['2:40 PM', clock(14, 40)],
    ['2:40 p.m.', clock(14, 40)],
    ['7am', clock(7)],
    ['12am', 0],
    ['12:30pm', clock(12, 30)],
    ['noon', clock(12)],
    ['24:00', undefined],
    ['7', undefined],
    ['7:60', undefined],
    ['13pm', undefined],
    ['0:15am', undefined],
    ['5/18', undefined],
    ['', undefined],
  ])('time %j', (text, seconds) => {
    expect(parseClock(text)).toBe(seconds);
  });

  test.each([
    ['2026-05-18', 'mdy', '2026-05-18', false],
    ['5/18/2026', 'mdy', '2026-05-18', false],
    ['18/5/2026', 'mdy', '2026-05-18', false],
    ['5/4/2026', 'mdy', '2026-05-04', true],
    ['5/4/2026', 'dmy', '2026-04-05', true],
    ['5-4-26', 'mdy', '2026-05-04', true],
    ['5.4.2026', 'mdy', '2026-04-05', false],
    ['5/5/2026', 'mdy', '2026-05-05', false],
  ] as const)('day %j in order %s', (text, order, day, isAmbiguous) => {
    expect(parseDay(text, order)).toEqual({ day, isAmbiguous });
  });

  test.each(['2/30/2026', '13/13/2026', '5/18', 'today', '5/18-2026'])('%j is not a day', (text) => {
    expect(parseDay(text)).toBeUndefined();
  });

  test.each([
    ['SW@10mph', 225, 10],
    ['sw 10 mph', 225, 10],
    ['south-west at 10mph', 225, 10],
    ['210@12mph', 210, 12],
    ['NNE@5mph', 22.5, 5],
  ])('wind %j', (text, from, mph) => {
    const wind = parseWind(text)!;
    expect(wind.from).toBe(from);
    expect(wind.speed).toBeCloseTo(mph * 0.44704, 9);
  });

  test.each(['SX@10mph', '10mph', 'SW@10', '400@5mph'])('%j is not a wind', (text) => {
    expect(parseWind(text)).toBeUndefined();
  });

  test('marks are found ignoring case, spaces and hyphens, and an unknown name gives the nearest names', () => {
    const names = ['LEDGE 8', 'Ledge 9', 'H11', 'h 11', 'POINT'];
    const find = markNames(names);
    expect(find('ledge 8')).toBe('LEDGE 8');
    expect(find('ledge-9')).toBe('Ledge 9');
    expect(find('H11')).toBe('H11');
    // Two marks differ from this name only in case, spaces and hyphens.
    expect(find('h-11')).toBeUndefined();
    expect(nearNames('legde 8', names)[0]).toBe('LEDGE 8');
    expect(nearNames('pont', names)).toEqual(['POINT']);
    expect(nearNames('zzzzzzzz', names)).toEqual([]);
  });
});

describe('sizes', () => {
  test('the normal distribution matches a published table', () => {
    // Abramowitz & Stegun 1964, table 26.1.
    expect(normalBelow(0)).toBeCloseTo(0.5, 7);
    expect(normalBelow(1)).toBeCloseTo(0.841344746, 6);
    expect(normalBelow(-1.96)).toBeCloseTo(0.024997895, 6);
  });

  test('the gain from one more fish in a full bag matches an integral over its weight', () => {
    for (const [mean, lightest, keeper] of [
      [1, 0, 0.4],
      [1, 1.2, 0.4],
      [2, 0.8, 0.4],
      [0.6, 1.5, 0.4],
    ]) {
      let sum = 0;
      const step = 1e-3;
      for (let z = -8; z < 8; z += step) {
        const weight = mean * Math.exp(0.4 * z - 0.08);
        if (weight < Math.max(keeper, lightest)) continue;
        sum += (weight - lightest) * (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)) * step;
      }
      expect(gainOver(mean, lightest, keeper)).toBeCloseTo(sum, 2);
    }
  });

  test('a note or a priority changes the expected size, and the strength of a line does not', () => {
    const usual = 2 * KG_PER_LB;
    expect(weightBelief(usual, 1, 'LEDGE 8')).toBe(usual);
    expect(weightBelief(usual, 3, '')).toBeGreaterThan(usual);
    expect(weightBelief(usual, 1, 'two 4 lb fish')).toBeCloseTo(Math.sqrt(4 * 2) * KG_PER_LB, 9);
    expect(weightBelief(usual, 1, '3-5lbs')).toBeCloseTo(Math.sqrt(4 * 2) * KG_PER_LB, 9);
    // The number of a mark before the weight is not a weight.
    expect(weightBelief(usual, 1, 'M29; 4 lb')).toBeCloseTo(Math.sqrt(4 * 2) * KG_PER_LB, 9);
    expect(weightBelief(usual, 1, 'ledge 8 4 lb')).toBeCloseTo(Math.sqrt(4 * 2) * KG_PER_LB, 9);
    expect(weightBelief(usual, 1, 'good ones here')).toBeGreaterThan(usual);
    expect(weightBelief(usual, 1, 'dinks')).toBeLessThan(usual);
    expect(weightBelief(usual, 1, '12 lb fluoro')).toBe(usual);
    expect(parseWeight('4lb')).toBeCloseTo(4 * KG_PER_LB, 12);
    expect(parseWeight('4')).toBeUndefined();
  });
});

test.each(['12 lb, 16 ft diver', '14 lb fluorocarbon', 'lost a jig on 10 lb line'])(
  'pounds of line, as in %j, say nothing about the fish',
  (note) => {
    expect(weightBelief(1, 1, note)).toBe(1);
  },
);
