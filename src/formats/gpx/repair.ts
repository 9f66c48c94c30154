import type { Diagnostic } from '../../../shared/contract/index.ts';
import { gpx as says } from '../../../shared/text/index.ts';
import { asBuffer } from './encoding.ts';

/** What is left alone: nothing in it is markup. */
const HIDDEN = /<!--[\s\S]*?-->|<!\[CDATA\[[\s\S]*?\]\]>|<\?[\s\S]*?\?>/.source;
const LONE_AMPERSAND = /&(?!(?:amp|lt|gt|quot|apos|#\d{1,7}|#x[\da-f]{1,6});)/.source;
const CONTROL = '[\\u0001-\\u0008\\u000b\\u000c\\u000e-\\u001f]';
const FAULTS = new RegExp(`${HIDDEN}|${LONE_AMPERSAND}|${CONTROL}`, 'gi');

/**
 * Bytes of a slightly broken export with what XML does not allow mended in place: `&` that begins no entity, control characters,
 * blank before the XML declaration. The rest stays byte for byte.
 *
 * Works on single bytes, so in every encoding that has ASCII in it; UTF-16 is left as it is.
 *
 * @returns The bytes themselves when nothing was mended; else with one message for each repair.
 */
export function repair(
  bytes: Uint8Array,
  file: string,
): { readonly bytes: Uint8Array; readonly diagnostics: readonly Diagnostic[] } {
  if (bytes[0] === 0xff || bytes[0] === 0xfe || bytes[0] === 0 || bytes[1] === 0)
    return { bytes, diagnostics: [] };
  const text = asBuffer(bytes).toString('latin1');
  const diagnostics: Diagnostic[] = [];
  const lead = /^(\u00ef\u00bb\u00bf)?\s+(?=<\?xml\s)/.exec(text);
  const lineAt = lineCounter(text);
  if (lead !== null)
    diagnostics.push(says.repaired(file, 1, 'white space before the XML declaration left out'));
  const start = lead?.[0].length ?? 0;
  const mended = text.replace(FAULTS, (found: string, at: number) => {
    if (at < start || found.startsWith('<')) return found;
    const line = lineAt(at);
    if (found === '&') {
      diagnostics.push(says.repaired(file, line, '& written as &amp;'));
      return '&amp;';
    }
    diagnostics.push(says.repaired(file, line, 'control character replaced by a space'));
    return ' ';
  });
  if (diagnostics.length === 0) return { bytes, diagnostics };
  const mark = lead?.[1] ?? '';
  return { bytes: Buffer.from(lead === null ? mended : mark + mended.slice(start), 'latin1'), diagnostics };
}

/** Lines of ascending places of a text. */
function lineCounter(text: string): (at: number) => number {
  let line = 1;
  let seen = 0;
  return (at) => {
    for (let next = text.indexOf('\n', seen); next >= 0 && next < at; next = text.indexOf('\n', seen)) {
      line++;
      seen = next + 1;
    }
    return line;
  };
}
