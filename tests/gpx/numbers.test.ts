import fc from 'fast-check';
import { expect, test } from 'vitest';
import { parseDepth } from '../../shared/text/length.ts';
import { parseXmlTime } from '../../shared/text/time.ts';

test('times written by Date are read back to the second, with Z or +00:00', () => {
  fc.assert(
    fc.property(
      fc.date({
        min: new Date('1970-01-01T00:00:00Z'),
        max: new Date('2099-12-31T23:59:59Z'),
        noInvalidDate: true,
      }),
      (date) => {
        const seconds = Math.floor(date.getTime() / 1000);
        const plain = new Date(seconds * 1000).toISOString().replace('.000', '');
        expect(parseXmlTime(plain)).toBe(seconds);
        expect(parseXmlTime(plain.replace('Z', '.000+00:00'))).toBe(seconds);
        expect(parseXmlTime(` ${plain} `)).toBe(seconds);
      },
    ),
  );
});

test('zones, fractions and leap seconds are read', () => {
  const noon = Date.UTC(2025, 6, 4, 12) / 1000;
  expect(parseXmlTime('2025-07-04T07:00:00-05:00')).toBe(noon);
  expect(parseXmlTime('2025-07-04T17:30:00.25+05:30')).toBe(noon + 0.25);
  expect(parseXmlTime('2025-07-04T12:00:00')).toBe(noon);
  // A leap second is read as the last millisecond before it, as in logs.
  expect(parseXmlTime('2016-12-31T23:59:60Z')).toBe(Date.UTC(2017, 0, 1) / 1000 - 0.001);
});

test.each([
  '2024-02-30T00:00:00Z',
  '2023-02-29T00:00:00Z',
  '1900-02-29T00:00:00Z',
  '2025-13-01T00:00:00Z',
  '2025-00-01T00:00:00Z',
  '2025-07-04T24:00:00Z',
  '2025-07-04T12:60:00Z',
  '2025-07-04 12:00:00Z',
  '2025-7-4T12:00:00Z',
  '07/04/2025',
  '2025-07-04',
  '',
  'yesterday',
  '2025-07-04T12:00:0xZ',
  '2o25-07-04T12:00:00Z',
  '2025-07-04T12-00-00Z',
])('%j is not a time', (text) => {
  expect(parseXmlTime(text)).toBeNaN();
});

test('2024-02-29 and 2000-02-29 are valid dates', () => {
  expect(parseXmlTime('2024-02-29T00:00:00Z')).toBe(Date.UTC(2024, 1, 29) / 1000);
  expect(parseXmlTime('2000-02-29T00:00:00Z')).toBe(Date.UTC(2000, 1, 29) / 1000);
});

test.each([
  ['4.2', undefined, 4.2],
  [' 14 ft ', undefined, 4.2672],
  ['2', 'Fathoms', 3.6576],
  ['420', 'cm', 4.2],
  ['1 m', 'ft', 1],
])('depth %j with unit %j is %d m', (text, unit, meters) => {
  expect(parseDepth(text, unit)).toBeCloseTo(meters, 12);
});

test.each([
  ['', undefined],
  ['4,2', undefined],
  ['4.2', 'hands'],
  ['4..2', undefined],
  ['0x10', undefined],
  ['1e999', undefined],
  ['-', undefined],
  ['NaN', undefined],
])('%j with unit %j is not a depth', (text, unit) => {
  expect(parseDepth(text, unit)).toBeNaN();
});
