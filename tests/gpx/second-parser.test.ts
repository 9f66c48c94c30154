import { expect, test } from 'vitest';
import { openSecondLook } from '../../src/gpx/second-look.ts';
import { whyRefused } from '../../src/gpx/second-parser.ts';
import { createThreads } from '../../src/threads/threads.ts';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

test('what is well-formed is accepted, with or without a byte-order mark', () => {
  expect(whyRefused(bytes('\uFEFF<gpx><wpt lat="1" lon="2"><name>Å 1</name></wpt></gpx>'))).toBeUndefined();
  expect(whyRefused(bytes('<gpx/>'))).toBeUndefined();
});

test('a text is taken as UTF-8, whatever encoding it names', () => {
  const named = (encoding: string) =>
    bytes(`<?xml version="1.0" encoding="${encoding}"?><gpx><name>Å</name></gpx>`);
  for (const encoding of ['UTF-8', 'ISO-8859-1', 'UTF-16', 'windows-1252'])
    expect(whyRefused(named(encoding))).toBeUndefined();
});

test('long text and deep nesting are no reason to refuse', () => {
  expect(whyRefused(bytes(`<gpx><desc>${'x'.repeat(11e6)}</desc></gpx>`))).toBeUndefined();
  expect(whyRefused(bytes(`${'<a>'.repeat(400)}${'</a>'.repeat(400)}`))).toBeUndefined();
});

test('what is not well-formed is refused, with the file named and the reason in one line', async () => {
  const bad = bytes('<gpx><wpt lat="1" lat="2"></gpx>');
  expect(whyRefused(bad)).toMatch(/^[^\n]+$/);
  const { lookAgain, accepted } = openSecondLook(createThreads());
  lookAgain(bytes('<gpx/>'), 'good.gpx');
  lookAgain(bad, 'a.gpx');
  await expect(accepted()).rejects.toThrow(/a\.gpx/);
});
