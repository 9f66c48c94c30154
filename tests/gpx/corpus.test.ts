import { DOMParser } from '@xmldom/xmldom';
import { XmlDocument } from 'libxml2-wasm';
import { expect, test } from 'vitest';
import { encodeFile } from '../../src/formats/gpx/encoding.ts';
import { enrichGpx } from '../../src/formats/gpx/enrich-gpx.ts';
import type { GpxDocument } from '../../src/formats/gpx/gpx-document.ts';
import { readGpx } from '../../src/formats/gpx/read-gpx.ts';
import { corpusFile } from './corpus.ts';
import { enrich, NO_LIMITS, read } from './helpers.ts';
import { orderFaults } from './order-rules.ts';
import { createSchemaChecker } from './schema.ts';

const FILES = 400;

/** Returns text for a parser that takes strings, without the declared encoding, which no longer applies. */
const asText = (document: GpxDocument): string =>
  Buffer.from(document.utf8)
    .toString('utf8')
    .replace(/^\uFEFF/, '')
    .replace(/^(<\?xml[^>]*?)\sencoding=(["'])[^"']*\2/, '$1');

test(`${FILES} generated files: undo restores every byte, a second run changes nothing, two other parsers accept the output, and a valid file stays valid`, () => {
  const checkers = { '1.0': createSchemaChecker('1.0'), '1.1': createSchemaChecker('1.1') };
  const seen = { encodings: new Set<string>(), strict: 0, enriched: 0, waypoints: 0, valid: 0 };
  for (let seed = 1; seed <= FILES; seed++) {
    const file = corpusFile(seed);
    const input = read(file.bytes);
    const isPlain = seed % 5 === 0;
    const once = enrich(input, { plain: isPlain }).parts[0].bytes;
    const again = read(once);
    const context = `seed ${seed}, ${file.encoding}, GPX ${file.version}`;

    if (!isPlain) {
      const undone = enrichGpx(again, [], NO_LIMITS).parts[0].bytes;
      expect(Buffer.from(undone).equals(file.bytes), `${context}: undone`).toBe(true);
    }
    const twice = enrich(again, { plain: isPlain }).parts[0].bytes;
    expect(Buffer.from(twice).equals(once), `${context}: second run`).toBe(true);

    const faults: string[] = [];
    new DOMParser({
      onError: (level, message) => level !== 'warning' && faults.push(message),
    }).parseFromString(asText(again), 'text/xml');
    XmlDocument.fromBuffer(Buffer.from(asText(again))).dispose();
    expect(faults, context).toEqual([]);

    if (file.isStrict) {
      seen.strict++;
      expect(orderFaults(asText(input)), `${context}: the input itself`).toEqual([]);
      expect(orderFaults(asText(again)), context).toEqual([]);
    }
    const check = checkers[file.version];
    if (check !== undefined && check.faults(Buffer.from(asText(input))) === undefined) {
      seen.valid++;
      expect(check.faults(Buffer.from(asText(again))), context).toBeUndefined();
    }
    expectUntouched(input, again, context);
    seen.encodings.add(file.encoding);
    seen.waypoints += input.waypoints.length;
    if (once.length > file.bytes.length) seen.enriched++;
  }
  checkers['1.0'].dispose();
  checkers['1.1'].dispose();
  expect(seen.encodings.size).toBe(13);
  expect(seen.enriched).toBeGreaterThan(300);
  expect(seen.waypoints).toBeGreaterThan(1000);
  expect(seen.strict).toBeGreaterThan(150);
  expect(seen.valid).toBeGreaterThan(150);
});

/** Checks that the texts of the user's waypoints and the counts of all other elements are unchanged. */
function expectUntouched(input: GpxDocument, output: GpxDocument, context: string): void {
  const texts = (document: GpxDocument) =>
    document.waypoints
      .filter(({ partner }) => partner === undefined)
      .map(({ lat, lon, name, comment, description, symbol, type, time, depth, canEnrich }) => ({
        lat,
        lon,
        name,
        comment,
        description,
        symbol,
        type,
        time,
        depth,
        canEnrich,
      }));
  expect(texts(output), context).toEqual(texts(input));
  expect({ ...output.counts, ours: 0 }, context).toEqual({ ...input.counts, ours: 0 });
}

test('a small file cut at any byte is refused, or gives only waypoints with their true values', () => {
  for (let seed = 1; seed <= 8; seed++) {
    const { bytes } = corpusFile(seed);
    const whole = read(bytes);
    const known = new Map(
      whole.waypoints.map((waypoint) => [waypoint.line * 1e6 + waypoint.place.start, waypoint]),
    );
    for (let end = 0; end < bytes.length; end++) {
      const document = tryRead(bytes.subarray(0, end));
      for (const { lat, lon, name, line, place } of document?.waypoints ?? []) {
        expect({ lat, lon, name }).toEqual(pickOf(known.get(line * 1e6 + place.start)));
      }
      if (document !== undefined)
        expect(Buffer.from(encodeFile(document.utf8, document.encoding)).equals(bytes.subarray(0, end))).toBe(
          true,
        );
    }
  }
});

function tryRead(bytes: Uint8Array): GpxDocument | undefined {
  try {
    return readGpx(bytes, 'cut.gpx');
  } catch (error) {
    expect((error as Error).name).toBe('Refusal');
    return undefined;
  }
}

const pickOf = (waypoint: { lat: number; lon: number; name: string } | undefined) =>
  waypoint === undefined ? undefined : { lat: waypoint.lat, lon: waypoint.lon, name: waypoint.name };
