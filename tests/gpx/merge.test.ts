import iconv from 'iconv-lite';
import { expect, test } from 'vitest';
import { mergeGpx } from '../../src/formats/gpx/merge-gpx.ts';
import { readGpx } from '../../src/formats/gpx/read-gpx.ts';
import { enrich, enriched, GPX_11, gpx10, gpx11, MARKS, read, text } from './helpers.ts';
import { createSchemaChecker } from './schema.ts';

const other = (content: string | Uint8Array) =>
  readGpx(typeof content === 'string' ? Buffer.from(content) : content, 'other.gpx');
const names = (document: ReturnType<typeof read>): string[] => document.waypoints.map(({ name }) => name);
const OTHER = gpx11('  <wpt lat="45.5" lon="-93.5">\n    <name>Hump B</name>\n  </wpt>\n');

test('waypoints of the second file follow those of the first, which is otherwise unchanged', () => {
  const { document, diagnostics } = mergeGpx([read(MARKS), other(OTHER)], {});
  expect(names(document)).toEqual(['Long ledge south', 'Old hump', 'Ditch & bend', 'Hump B']);
  expect(diagnostics).toEqual([]);
  expect(text(document.bytes).replace(/\n {2}<wpt lat="45.5"[\s\S]*?<\/wpt>/, '')).toBe(MARKS);
});

test('near duplicates are reported and kept, or joined with --join', () => {
  const twin = other(
    gpx11(
      '<wpt lat="45.10001" lon="-93.2"><name>LONG LEDGE SOUTH</name></wpt><wpt lat="45.11001" lon="-93.21"><name>Reef</name></wpt>',
    ),
  );
  const kept = mergeGpx([read(MARKS), twin], {});
  expect(kept.document.waypoints).toHaveLength(5);
  expect(kept.diagnostics.map(({ code }) => code)).toEqual(['gpx/near-duplicate', 'gpx/near-duplicate']);
  expect(kept.diagnostics[0].message).toContain('If they are the same, merge them with --join 10m.');
  expect(kept.diagnostics[1].message).toContain('delete one of the two');
  const joined = mergeGpx([read(MARKS), twin], { join: 5 });
  expect(names(joined.document)).toEqual(['Long ledge south', 'Old hump', 'Ditch & bend', 'Reef']);
  expect(joined.diagnostics.map(({ code }) => code)).toEqual(['gpx/joined', 'gpx/near-duplicate']);
  const nameless = gpx11('<wpt lat="1" lon="2"/>');
  expect(mergeGpx([read(nameless), other(nameless)], { join: 5 }).diagnostics[0].message).toMatch(
    /has no name either and is at the same position\.$/,
  );
});

test('namespaces of the second file are carried over, whatever its prefixes', () => {
  const prefixed = `<g:gpx xmlns:g="${GPX_11}" xmlns:x="urn:x" version="1.1" creator="t"><g:wpt lat="1" lon="2"><g:name>P</g:name><g:extensions><x:a>1</x:a></g:extensions></g:wpt></g:gpx>`;
  const { document } = mergeGpx([read(MARKS), other(prefixed)], {});
  expect(names(document)).toContain('P');
  expect(text(document.bytes)).toContain(`<g:wpt xmlns:g="${GPX_11}" xmlns:x="urn:x" lat="1"`);
  const reverse = mergeGpx([other(prefixed), read(MARKS)], {});
  expect(names(reverse.document)).toEqual(['P', 'Long ledge south', 'Old hump', 'Ditch & bend']);
});

test('text that the first encoding cannot represent becomes character references, in CDATA too', () => {
  const narrow = iconv.encode(MARKS.replace('UTF-8', 'ISO-8859-1'), 'ISO-8859-1');
  const wide = other(gpx11('<wpt lat="1" lon="2"><name>Мыс</name><cmt><![CDATA[<岬> & b]]></cmt></wpt>'));
  const { document } = mergeGpx([other(narrow), wide], {});
  expect(document.encoding).toBe('iso-8859-1');
  expect(document.waypoints[3]).toMatchObject({ name: 'Мыс', comment: '<岬> & b' });
});

test('additions of an earlier run to the second file are left out', () => {
  const { document } = mergeGpx([read(MARKS), other(enriched(OTHER))], {});
  expect(names(document)).toEqual(['Long ledge south', 'Old hump', 'Ditch & bend', 'Hump B']);
  expect(text(document.bytes)).not.toContain('downslope');
});

test('boat positions that came back from a chartplotter are left out, but not a note on one', () => {
  const run = enrich(read(OTHER));
  const { given } = run;
  const back = text(run.parts[0].bytes).replace(/\s*<(extensions|type)>[\s\S]*?<\/\1>/g, '');
  const silent = mergeGpx([read(MARKS), other(back)], { given });
  expect(names(silent.document)).toEqual(['Long ledge south', 'Old hump', 'Ditch & bend', 'Hump B']);
  const noted = readGpx(
    Buffer.from(back.replace('on bottom 11-19ft', 'on bottom 11-19ft snag')),
    'other.gpx',
    {
      given,
    },
  );
  const { document } = mergeGpx([read(MARKS), noted], { given });
  expect(names(document)).toEqual([...names(silent.document), 'Hump B D']);
  expect(document.waypoints.at(-1)?.partner).toMatchObject({ by: 'ledger', edits: { note: 'snag' } });
});

test('boat positions known by the record alone are no marks after merging', () => {
  const run = enrich(read(OTHER));
  const bare = text(run.parts[0].bytes).replace(/\s*<(extensions|type|cmt)>[\s\S]*?<\/\1>/g, '');
  const back = readGpx(Buffer.from(bare), 'other.gpx', { given: run.given });
  expect(back.waypoints.map(({ partner }) => partner?.by)).toEqual([undefined, 'ledger', 'ledger']);
  const { document } = mergeGpx([read(MARKS), back], { given: run.given });
  expect(names(document)).toEqual(['Long ledge south', 'Old hump', 'Ditch & bend', 'Hump B']);
});

test('a first file without waypoints gets those of the second file before its tracks', () => {
  const track = gpx11('<metadata/><trk><trkseg/></trk>\n');
  const { document } = mergeGpx([other(track), read(MARKS)], {});
  expect(text(document.bytes).indexOf('<wpt')).toBeLessThan(text(document.bytes).indexOf('<trk>'));
  expect(text(document.bytes).indexOf('<wpt')).toBeGreaterThan(text(document.bytes).indexOf('<metadata/>'));
  const empty = `<gpx xmlns="${GPX_11}" version="1.1" creator="t"/>`;
  expect(names(mergeGpx([other(empty), read(MARKS)], {}).document)).toHaveLength(3);
});

test('files of different GPX versions are refused', () => {
  expect(() => mergeGpx([read(MARKS), other(gpx10('<wpt lat="1" lon="2"/>'))], {})).toThrow(
    /this one is GPX 1\.0 and .* is GPX 1\.1/,
  );
});

test('the merged file of two valid files is valid', () => {
  const checker = createSchemaChecker('1.1');
  const { document } = mergeGpx([read(MARKS), other(OTHER)], {});
  expect(checker.faults(document.bytes)).toBeUndefined();
  checker.dispose();
});
