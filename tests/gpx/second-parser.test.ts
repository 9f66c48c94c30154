import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { expect, test } from 'vitest';
import { parseAgain, whyRefused } from '../../src/gpx/second-parser.ts';
import type { SecondParserThread } from '../../src/gpx/second-parser-thread.ts';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const GOOD = bytes('\uFEFF<gpx><wpt lat="1" lon="2"><name>Å 1</name></wpt></gpx>');
const BAD = bytes('<gpx><wpt lat="1" lat="2"></gpx>');

/** The built thread: a worker cannot run sources. */
async function startSecondParser(): Promise<SecondParserThread> {
  const built = resolve(import.meta.dirname, '../../dist/src/gpx/second-parser-thread.js');
  return (await import(/* @vite-ignore */ pathToFileURL(built).href)).startSecondParser();
}

test('what is well-formed is accepted, with or without a byte-order mark', () => {
  expect(whyRefused(GOOD)).toBeUndefined();
  expect(whyRefused(BAD)).toBeTypeOf('string');
  expect(() => parseAgain(BAD, 'a.gpx')).toThrow();
});

test('a thread accepts and refuses as the parser here does, wherever the bad text stands among many', async () => {
  for (const bad of [undefined, 0, 7, 39]) {
    const thread = await startSecondParser();
    try {
      for (let i = 0; i < 40; i++) thread.parse(i === bad ? BAD : GOOD, `${i}.gpx`);
      const outcome = await thread.finish().then(
        () => undefined,
        (cause) => cause.diagnostics?.[0]?.place?.file,
      );
      expect(outcome).toBe(bad === undefined ? undefined : `${bad}.gpx`);
    } finally {
      await thread.close();
    }
  }
});

test('nothing given is nothing to wait for', async () => {
  const thread = await startSecondParser();
  await thread.finish();
  await thread.close();
});
