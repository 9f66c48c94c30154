import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { FieldDefinition } from '../../shared/contract/fields.ts';
import { formatField } from '../../src/formats/table/table.ts';

const field = (unit: FieldDefinition['unit'], decimals: number): FieldDefinition => ({
  type: 'number',
  unit,
  decimals,
  help: 'A number.',
});

test('a direction is written in [0, 360), and zero without a minus sign', () => {
  expect(formatField(359.6, field('deg', 0), 'm')).toBe('0');
  expect(formatField(359.96, field('deg', 1), 'm')).toBe('0.0');
  expect(formatField(359.94, field('deg', 1), 'm')).toBe('359.9');
  expect(formatField(-0.04, field('deg', 1), 'm')).toBe('0.0');
  expect(formatField(-0, field('m', 2), 'm')).toBe('0.00');
  expect(formatField(360.2, field('m', 0), 'm')).toBe('360');
});

test('any number is written within half a unit of its last decimal', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -1000, max: 1000, noNaN: true }),
      fc.integer({ min: 0, max: 3 }),
      (value, decimals) => {
        const text = formatField(value, field('m', decimals), 'm');
        expect(text).toMatch(/^-?\d+(\.\d+)?$/);
        expect(Math.abs(Number(text) - value)).toBeLessThanOrEqual(0.5 * 10 ** -decimals + 1e-9);
        expect(text).not.toMatch(/^-[0.]*$/);
      },
    ),
  );
});
