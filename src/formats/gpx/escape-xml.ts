import { canEncode } from './encoding.ts';

/** Characters that are not written: control characters, line ends, and what XML 1.0 forbids. */
const NOT_IN_TEXT = /[\u0000-\u001F\u007F-\u009F\u2028\u2029\uD800-\uDFFF\uFFFE\uFFFF]/gu;

/** ASCII text without characters that XML escapes. */
const PLAIN = /^[ !#-%'-;=?-~]*$/;

export const oneLine = (text: string): string => text.replace(NOT_IN_TEXT, ' ');

/**
 * Returns a text on one line as XML character data or an attribute value.
 *
 * @param encoding Encoding of the file. Characters that it lacks become character references.
 */
export function escapeXml(text: string, encoding: string): string {
  if (PLAIN.test(text)) return text;
  const escaped = oneLine(text)
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
  return withReferences(escaped, encoding);
}

/** Returns the text of a GPX 1.1 file of ours with these elements. */
export const ownGpx = (elements: readonly string[]): string =>
  [
    '<?xml version="1.0" encoding="UTF-8"?>',
    '<gpx version="1.1" creator="downslope" xmlns="http://www.topografix.com/GPX/1/1">',
    ...elements,
    '</gpx>',
    '',
  ].join('\n');

/** Replaces the characters that the encoding lacks with character references. */
export function withReferences(xml: string, encoding: string): string {
  if (canEncode(xml, encoding)) return xml;
  return Array.from(xml, (character) =>
    canEncode(character, encoding) ? character : `&#${character.codePointAt(0)};`,
  ).join('');
}
