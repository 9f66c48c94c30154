import { expect, test } from 'vitest';
import { applyEdits, type Edit, insertAt, orderEdits, replaceWith } from '../../src/formats/gpx/edits.ts';
import { enrichGpx } from '../../src/formats/gpx/enrich-gpx.ts';
import { verifyEdited } from '../../src/formats/gpx/verify-output.ts';
import { additionsFor, gpx11, MARKS, NO_LIMITS, read, text } from './helpers.ts';

const document = read(MARKS);
const at = MARKS.indexOf('<name>Old hump');
const verify = (edits: readonly Edit[], edited: Uint8Array): void =>
  verifyEdited(document, edits, edited, edited, { startTagEnd: document.root.startTagEnd, waypoints: [] });

test('an output that restores the input byte for byte is accepted', () => {
  const edits = orderEdits([insertAt(at, '<cmt>boat 22ft</cmt>')]);
  expect(() => verify(edits, applyEdits(document.utf8, edits))).not.toThrow();
});

test('an output with one changed byte of the input is refused', () => {
  const edits = orderEdits([insertAt(at, '<cmt>boat 22ft</cmt>')]);
  const edited = applyEdits(document.utf8, edits).slice();
  edited[MARKS.indexOf('Ditch') + '<cmt>boat 22ft</cmt>'.length] = 'd'.charCodeAt(0);
  expect(() => verify(edits, edited)).toThrow('cannot be taken out again');
});

test('an output without one of the waypoints is refused', () => {
  const lost = MARKS.indexOf('  <wpt lat="45.11"');
  const edits = [replaceWith(lost, MARKS.indexOf('  <wpt lat="45.12"'), '')];
  expect(() => verify([], applyEdits(document.utf8, edits))).toThrow('cannot be taken out again');
});

test('an output that is not well-formed is refused', () => {
  const edits = [insertAt(at, '<cmt>boat 22ft')];
  expect(() => verify(edits, applyEdits(document.utf8, edits))).toThrow('not well-formed');
});

test('a file too long for the second parser to read whole is restored byte for byte', () => {
  const track = '<trkpt lat="45.1" lon="-93.2"/>\n'.repeat(40_000);
  const long = MARKS.replace('</gpx>', `<trk><trkseg>\n${track}</trkseg></trk>\n</gpx>`);
  const before = read(long);
  const [enriched] = enrichGpx(before, additionsFor(before), NO_LIMITS).parts;
  expect(enriched.bytes.length).toBeGreaterThan(long.length);
  expect(text(enrichGpx(read(enriched.bytes), [], NO_LIMITS).parts[0].bytes)).toBe(long);
});

test('names are shortened in a file that gets nothing else', () => {
  const marks = gpx11('<wpt lat="45.1" lon="-93.2"><name>Long ledge south</name></wpt>\n');
  const [shortened] = enrichGpx(read(marks), [], { ...NO_LIMITS, maxName: 8 }).parts;
  expect(text(shortened.bytes)).toMatch(/<name>[^<]{1,8}<\/name>/);
  expect(text(enrichGpx(read(shortened.bytes), [], NO_LIMITS).parts[0].bytes)).toBe(marks);
});
