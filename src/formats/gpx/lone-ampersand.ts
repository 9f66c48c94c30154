import { Refusal } from '../../../shared/contract/index.ts';
import { gpx as says } from '../../../shared/text/index.ts';
import { asBuffer } from './encoding.ts';

/** Most bytes searched. */
const REACH = 1 << 20;

/**
 * The error itself, or one that reports a lone `&` before the place of the error.
 *
 * The tokenizer takes everything up to the next `;` as an entity name, so it reports the fault there or at the end of
 * the file.
 *
 * @param from End of the last tag that was read.
 */
export function withLoneAmpersand(error: unknown, utf8: Uint8Array, from: number): unknown {
  if (!(error instanceof Refusal) || !/^gpx\/(xml|truncated)$/.test(error.diagnostics[0].code)) return error;
  const text = asBuffer(utf8).toString('utf8', from, from + REACH);
  const blanked = text.replace(/<!--[\s\S]*?-->|<!\[CDATA\[[\s\S]*?\]\]>|<\?[\s\S]*?\?>/g, (part) =>
    ' '.repeat(part.length),
  );
  const at = /&(?!(?:amp|lt|gt|quot|apos|#\d+|#x[\da-f]+);)/i.exec(blanked)?.index;
  if (at === undefined) return error;
  const before =
    asBuffer(utf8)
      .toString('utf8', 0, from)
      .replace(/^\uFEFF/, '') + text.slice(0, at);
  const lines = before.split(/\r\n|\r|\n/);
  const place = { line: lines.length, column: lines[lines.length - 1].length + 1 };
  const { place: found } = error.diagnostics[0];
  const isBefore =
    place.line < (found?.line ?? 0) ||
    (place.line === found?.line && place.column < (found.column ?? Number.POSITIVE_INFINITY));
  if (!isBefore) return error;
  return new Refusal([
    says.malformed(
      place.line,
      place.column,
      '& that begins no entity',
      'Write & as &amp;, and other entities as the character itself, or pass --repair.',
    ),
  ]);
}
