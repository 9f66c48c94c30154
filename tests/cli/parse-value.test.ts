import { describe, expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import type { OptionDefinition } from '../../shared/contract/options.ts';
import { parseOptionValue } from '../../shared/engine/parse-value.ts';
import { CAST_OPTIONS } from '../../shared/retrieve/common-options.ts';

const length: OptionDefinition = { kind: 'length', help: 'A length.', min: 0, exclusiveMin: true };
const refusal = (run: () => unknown): string => {
  try {
    run();
  } catch (cause) {
    if (cause instanceof Refusal) return cause.message;
    throw cause;
  }
  return 'accepted';
};

describe('option values', () => {
  test('a length with a suffix means the same in either unit system; without one it is in the units of the run', () => {
    expect(parseOptionValue(length, '--draft', '3ft', 'm')).toBeCloseTo(0.9144, 12);
    expect(parseOptionValue(length, '--draft', '3ft', 'ft')).toBeCloseTo(0.9144, 12);
    expect(parseOptionValue(length, '--draft', '3', 'ft')).toBeCloseTo(0.9144, 12);
    expect(parseOptionValue(length, '--draft', '3', 'm')).toBe(3);
    expect(parseOptionValue(length, '--cast', '50yd', 'm')).toBeCloseTo(45.72, 12);
  });

  test('a cast without a suffix is in yards, or in meters if the run is in meters', () => {
    const { cast } = CAST_OPTIONS;
    expect(parseOptionValue(cast, '--cast', '40', 'ft')).toBeCloseTo(40 * 0.9144, 12);
    expect(parseOptionValue(cast, '--cast', '40', 'm')).toBe(40);
    expect(parseOptionValue(cast, '--cast', '40ft', 'ft')).toBeCloseTo(40 * 0.3048, 12);
  });

  test('a cast outside 10 to 80 m is refused with the unit it was read in', () => {
    const said = (text: string, units: 'ft' | 'm') =>
      refusal(() => parseOptionValue(CAST_OPTIONS.cast, '--cast', text, units));
    expect(said('150', 'ft')).toBe(
      'error option/range: --cast 150 yd is out of range: it must be 11 yd or more and 87.4 yd or less.',
    );
    expect(said('150', 'm')).toBe(
      'error option/range: --cast 150 m is out of range: it must be 10 m or more and 80 m or less.',
    );
    expect(said('5', 'm')).toMatch(/--cast 5 m is out of range/);
    expect(said('20ft', 'ft')).toMatch(/--cast 20ft is out of range/);
    expect(parseOptionValue(CAST_OPTIONS.cast, '--cast', '11', 'ft')).toBeGreaterThan(10);
    expect(parseOptionValue(CAST_OPTIONS.cast, '--cast', '87.4', 'ft')).toBeLessThan(80);
  });

  test('long lengths and times of a limit are given in large units', () => {
    const saidOf = (definition: OptionDefinition, text: string, units: 'ft' | 'm') => {
      try {
        return String(parseOptionValue(definition, '--x', text, units));
      } catch (cause) {
        return (cause as Error).message;
      }
    };
    const length = { kind: 'length', min: 0, max: 1_000_000, help: '' } as const;
    expect(saidOf(length, '9999mi', 'ft')).toMatch(/0 ft or more and 621.3 mi or less/);
    expect(saidOf(length, '9999km', 'm')).toMatch(/0 m or more and 1000 km or less/);
    const time = { kind: 'seconds', min: 90, max: 14_400, help: '' } as const;
    expect(saidOf(time, '10h', 'ft')).toMatch(/90 s or more and 4 h or less/);
  });

  test('a length out of range is refused with option, value, unit and limit', () => {
    expect(refusal(() => parseOptionValue(length, '--slope.radius', '0', 'm'))).toBe(
      'error option/range: --slope.radius 0 is out of range: it must be more than 0 m.',
    );
  });

  test('limits are in the units of the run and can be typed back', () => {
    const cast: OptionDefinition = { kind: 'length', min: 5, max: 120, help: 'A cast.' };
    const said = (text: string, units: 'ft' | 'm') =>
      refusal(() => parseOptionValue(cast, '--cast', text, units));
    expect(said('200yd', 'm')).toContain(
      '--cast 200yd is out of range: it must be 5 m or more and 120 m or less.',
    );
    expect(said('200yd', 'ft')).toContain(
      '--cast 200yd is out of range: it must be 16.5 ft or more and 393.7 ft or less.',
    );
    expect(parseOptionValue(cast, '--cast', '16.5', 'ft')).toBeGreaterThan(5);
    expect(parseOptionValue(cast, '--cast', '393.7', 'ft')).toBeLessThan(120);
  });

  test.each(['', 'abc', '0x10', '1_000', '3 parsecs', 'Infinity', '1e999', '--5'])(
    '%j is not a length',
    (text) => {
      expect(refusal(() => parseOptionValue(length, '--draft', text, 'ft'))).toMatch(
        /^error option\/(value|range): --draft/,
      );
    },
  );

  test('a range takes its unit from its second end or from both, or else from the run', () => {
    const range: OptionDefinition = { kind: 'range', help: 'A band.' };
    const parse = (text: string) =>
      parseOptionValue(range, '--fish-depth', text, 'ft') as { top: number; bottom: number };
    expect(parse('10-20ft').bottom).toBeCloseTo(6.096, 12);
    expect(parse('10ft-20ft').top).toBeCloseTo(3.048, 12);
    expect(parse('10-20').top).toBeCloseTo(3.048, 12);
    expect(parse('3.5-5.5 m')).toEqual({ top: 3.5, bottom: 5.5 });
    expect(refusal(() => parse('20-10ft'))).toContain('the shallower first');
    expect(refusal(() => parse('10ft'))).toContain('two depths');
  });

  test('a date must exist', () => {
    const date: OptionDefinition = { kind: 'date', help: 'A day.' };
    expect(parseOptionValue(date, '--date', '2028-02-29', 'm')).toBe('2028-02-29');
    expect(refusal(() => parseOptionValue(date, '--date', '2027-02-29', 'm'))).toContain('2026-05-18');
    expect(refusal(() => parseOptionValue(date, '--date', '12', 'm'))).toContain('2026-05-18');
    for (const text of ['2026-05-18', '5/18/2026', '5-18-26', '18.5.2026', '5/18/26'])
      expect(parseOptionValue(date, '--date', text, 'm'), text).toBe('2026-05-18');
  });
});
