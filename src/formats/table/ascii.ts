/**
 * Text in printable ASCII for a small screen. Accents are dropped, dashes and quotes become plain ones, and other
 * characters become `?`.
 *
 * Control characters and runs of white space become one space; leading and trailing spaces are removed.
 */
export function toAscii(text: string): string {
  return text
    .normalize('NFKD')
    .replace(/\p{M}+/gu, '')
    .replace(/[\u2010-\u2015\u2212]/g, '-')
    .replace(/[\u2018\u2019\u02bc]/g, "'")
    .replace(/[\u201c\u201d]/g, '"')
    .replace(/\u00b0/g, 'deg')
    .replace(/[\u00df]/g, 'ss')
    .replace(/[\s\u0000-\u001f\u007f-\u009f]+/g, ' ')
    .replace(/[^\x20-\x7e]/gu, '?')
    .trim();
}
