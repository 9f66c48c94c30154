import { expect, test } from 'vitest';
import { applyEdits, type Edit, insertAt, orderEdits, replaceWith } from '../../src/formats/gpx/edits.ts';
import { verifyEdited } from '../../src/formats/gpx/verify-output.ts';
import { MARKS, read } from './helpers.ts';

const document = read(MARKS);
const at = MARKS.indexOf('<name>Old hump');
const verify = (edits: readonly Edit[], edited: Uint8Array): void =>
  verifyEdited(document, edits, edited, edited, []);

test('an output that restores the input byte for byte is written', () => {
  const edits = orderEdits([insertAt(at, '<cmt>boat 22ft</cmt>')]);
  expect(() => verify(edits, applyEdits(document.utf8, edits))).not.toThrow();
});

test('an output with one changed byte of the input is not', () => {
  const edits = orderEdits([insertAt(at, '<cmt>boat 22ft</cmt>')]);
  const edited = applyEdits(document.utf8, edits).slice();
  edited[MARKS.indexOf('Ditch') + '<cmt>boat 22ft</cmt>'.length] = 'd'.charCodeAt(0);
  expect(() => verify(edits, edited)).toThrow('cannot be taken out again');
});

test('an output without one of the waypoints is not', () => {
  const lost = MARKS.indexOf('  <wpt lat="45.11"');
  const edits = [replaceWith(lost, MARKS.indexOf('  <wpt lat="45.12"'), '')];
  expect(() => verify([], applyEdits(document.utf8, edits))).toThrow('cannot be taken out again');
});

test('an output that is not well-formed is not', () => {
  const edits = [insertAt(at, '<cmt>boat 22ft')];
  expect(() => verify(edits, applyEdits(document.utf8, edits))).toThrow('not well-formed');
});
