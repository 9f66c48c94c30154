import { canEncode } from './encoding.ts';

/** Characters that XML 1.0 does not allow, and line ends, which a one-line text does not have. */
const NOT_IN_TEXT = /[\u0000-\u001F\u007F-\u009F\u2028\u2029\uD800-\uDFFF\uFFFE\uFFFF]/gu;

/** Text that is written as it is in every encoding. */
const PLAIN = /^[ !#-%'-;=?-~]*$/;

/** Text as it can be written on one line: a blank for each character that cannot. */
export const oneLine = (text: string): string => text.replace(NOT_IN_TEXT, ' ');

/**
 * Text as XML character data or attribute value, on one line.
 *
 * @param encoding Of the file: characters without a place in it become character references.
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

/** XML text in which characters without a place in the encoding are character references. */
export function withReferences(xml: string, encoding: string): string {
  if (canEncode(xml, encoding)) return xml;
  return Array.from(xml, (character) =>
    canEncode(character, encoding) ? character : `&#${character.codePointAt(0)};`,
  ).join('');
}
