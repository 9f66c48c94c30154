import { expect, test } from 'vitest';
import { parseAgain, refusalReason } from '../../src/formats/gpx/second-parser.ts';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

test('well-formed text is accepted, with or without a byte-order mark', () => {
  expect(
    refusalReason(bytes('\uFEFF<gpx><wpt lat="1" lon="2"><name>Å 1</name></wpt></gpx>')),
  ).toBeUndefined();
  expect(refusalReason(bytes('<gpx/>'))).toBeUndefined();
});

test('a text is read as UTF-8, whatever encoding it declares', () => {
  const named = (encoding: string) =>
    bytes(`<?xml version="1.0" encoding="${encoding}"?><gpx><name>Å</name></gpx>`);
  for (const encoding of ['UTF-8', 'ISO-8859-1', 'UTF-16', 'windows-1252'])
    expect(refusalReason(named(encoding))).toBeUndefined();
});

test('long text and deep nesting are accepted', () => {
  expect(refusalReason(bytes(`<gpx><desc>${'x'.repeat(11e6)}</desc></gpx>`))).toBeUndefined();
  expect(refusalReason(bytes(`${'<a>'.repeat(400)}${'</a>'.repeat(400)}`))).toBeUndefined();
});

test.each([
  ['a tag that is not closed', '<gpx><wpt></gpx>'],
  ['an attribute given twice', '<gpx a="1" a="2"/>'],
  ['an entity that was never defined', '<gpx>&nbsp;</gpx>'],
  ['text after the end', '<gpx/>more'],
  ['two roots', '<gpx/><gpx/>'],
  ['no root', ''],
  ['a prefix that was never declared', '<gpx><a:b/></gpx>'],
])('%s is refused, not repaired', (_, text) => {
  expect(refusalReason(bytes(text))).toMatch(/^[^\n]+$/);
});

test('bytes that are not UTF-8 are refused', () => {
  expect(refusalReason(Uint8Array.from([0x3c, 0x61, 0x3e, 0xff, 0x3c, 0x2f, 0x61, 0x3e]))).toMatch(
    /^[^\n]+$/,
  );
});

const good = bytes('<gpx/>');
const bad = bytes('<gpx><wpt lat="1" lat="2"></gpx>');

test('malformed text is refused with the name of the file and the reason in one line', () => {
  expect(refusalReason(bad)).toMatch(/^[^\n]+$/);
  parseAgain(good, 'good.gpx');
  expect(() => parseAgain(bad, 'a.gpx')).toThrow(/a\.gpx/);
});
