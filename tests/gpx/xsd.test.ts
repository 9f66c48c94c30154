import { readFileSync, writeFileSync } from 'node:fs';
import { afterAll, describe, expect, test } from 'vitest';
import { enrichedBytes, gpx10, gpx11, MARKS } from './helpers.ts';
import { createSchemaChecker, type SchemaChecker } from './schema.ts';
import { schemaText } from './schema-text.ts';

const SHIPPED = new URL('../../fixtures/downslope-gpx-1.xsd', import.meta.url);

test('the shipped schema matches the fields', () => {
  if (process.env.UPDATE === '1') writeFileSync(SHIPPED, schemaText());
  expect(readFileSync(SHIPPED, 'utf8')).toBe(schemaText());
});

describe('against the schemas of GPX', () => {
  const checkers: Record<string, SchemaChecker> = {};
  const faults = (version: '1.0' | '1.1', content: Uint8Array): string | undefined => {
    checkers[version] ??= createSchemaChecker(version);
    return checkers[version].faults(content);
  };
  afterAll(() => {
    for (const checker of Object.values(checkers)) checker.dispose();
  });

  test('enriched GPX 1.1 is valid', () => {
    expect(faults('1.1', Buffer.from(MARKS))).toBeUndefined();
    expect(faults('1.1', enrichedBytes(MARKS))).toBeUndefined();
    expect(faults('1.1', enrichedBytes(MARKS, { plain: true }))).toBeUndefined();
    expect(
      faults('1.1', enrichedBytes(MARKS, { maxName: 8, ascii: true, downslopeSymbol: 'Anchor' })),
    ).toBeUndefined();
  });
  test('enriched GPX 1.0 is valid together with our schema', () => {
    const old = gpx10('<wpt lat="45.1" lon="-93.2"><name>A</name><cmt>x</cmt></wpt><wpt lat="1" lon="2"/>');
    expect(faults('1.0', Buffer.from(old))).toBeUndefined();
    expect(faults('1.0', enrichedBytes(old))).toBeUndefined();
  });
  test('the checker finds a wrong order, a longitude of 180, and an invalid value', () => {
    const wpt = (inside: string, lon = '2'): Uint8Array =>
      Buffer.from(gpx11(`<wpt lat="1" lon="${lon}">${inside}</wpt>`));
    expect(faults('1.1', wpt('<name>a</name><ele>1</ele>'))).toBeDefined();
    expect(faults('1.1', wpt('', '180'))).toBeDefined();
    const ours = (inside: string): Uint8Array =>
      wpt(`<extensions><ds:waypoint xmlns:ds="urn:downslope:gpx:1">${inside}</ds:waypoint></extensions>`);
    expect(faults('1.1', ours('<ds:depth unit="m">4.2</ds:depth>'))).toBeUndefined();
    expect(faults('1.1', ours('<ds:depth unit="m">NaN</ds:depth>'))).toBeDefined();
    expect(faults('1.1', ours('<ds:depth>4.2</ds:depth>'))).toBeDefined();
    expect(faults('1.1', ours('<ds:structure>reef</ds:structure>'))).toBeDefined();
  });
});
