import { type Diagnostic, type Place, Refusal } from '../../../shared/contract/index.ts';
import { gpxMessages as says } from '../../../shared/text/index.ts';
import { asBuffer, endPlace, markLength } from './encoding.ts';

/** Our wording for faults that the XML parser finds, by the start of its message. The first match counts. */
const MALFORMATIONS: readonly (readonly [begins: RegExp, found: string, advice: string])[] = [
  [
    /^undefined entity/,
    'an entity other than &amp; &lt; &gt; &quot; &apos;',
    'Write the character itself, and a plain & as &amp;, or add --repair for a waypoint file.',
  ],
  [
    /^(?:disallowed character in|empty) entity/,
    'a bare &',
    'Write & as &amp;, or add --repair for a waypoint file.',
  ],
  [
    /^malformed character entity/,
    'a character reference that XML does not allow',
    'Remove it, or add --repair for a waypoint file.',
  ],
  [/^disallowed character in tag name$/, 'a bare <', 'Write < as &lt;, or add --repair for a waypoint file.'],
  [
    /^disallowed character in attribute/,
    'a character that an attribute cannot contain',
    'Write < as &lt; and put values in quotes.',
  ],
  [
    /^disallowed character in/,
    'a character that the name of an element cannot contain',
    'Remove it, or write < as &lt; if no element is meant.',
  ],
  [
    /^disallowed character/,
    'a control or other character that XML does not allow',
    'Remove it, or add --repair for a waypoint file.',
  ],
  [
    /^unexpected close tag/,
    'an end tag that does not match the open element',
    'Spell it like the start tag, or remove it.',
  ],
  [/^unmatched closing tag/, 'an end tag without a start tag', 'Remove it.'],
  [
    /^duplicate attribute/,
    'an attribute given twice',
    'Remove one of them, or add --repair for a waypoint file if both have the same value.',
  ],
  [
    /^unbound namespace prefix/,
    'a prefix without an xmlns declaration',
    'Declare it on <gpx>, or add --repair for a waypoint file.',
  ],
  [/^text data outside/, 'text outside <gpx>', 'Remove it, or add --repair for a waypoint file.'],
  [/^documents may contain only one root/, 'a second root element', 'Put each <gpx> into a file of its own.'],
  [/^document must contain a root/, 'the file ends without <gpx>', 'Export the file again.'],
  [
    /^(?:an XML declaration must be at the start|the XML declaration must appear)/,
    'an XML declaration after the start of the file',
    'Remove what comes before it, or add --repair for a waypoint file.',
  ],
  [/^(?:XML version|version number)/, 'an XML version other than 1.0 and 1.1', 'Save the file as XML 1.0.'],
  [/^inappropriately located doctype/, 'a <!DOCTYPE ...>', 'Remove it.'],
  [/^unquoted attribute value/, 'an attribute value without quotes', 'Put it in quotes.'],
  [/^the string "\]\]>"/, ']]> in text', 'Write > as &gt;.'],
  [/^unexpected end/, 'the file ends too early', 'Copy the file again.'],
];

/**
 * Converts an error of the XML parser to a diagnostic.
 *
 * @param reason Message of the parser, without the position.
 */
export function malformation(at: Place, reason: string): Diagnostic {
  const other = [/^/, reason.replace(/\.$/, ''), 'Correct the file at this place.'] as const;
  const [, found, advice] = MALFORMATIONS.find(([begins]) => begins.test(reason)) ?? other;
  return says.xml(at, found, advice);
}

/** Maximum number of bytes searched for a lone `&`. */
const REACH = 1 << 20;

/**
 * Returns an error that reports a lone `&` if there is one before the place of `error`; otherwise `error`.
 *
 * The parser takes everything up to the next `;` as an entity name, so it reports the fault there or at the
 * end of the file.
 *
 * @param from End of the last tag that was read.
 */
export function withLoneAmpersand(error: unknown, utf8: Uint8Array, from: number): unknown {
  if (!(error instanceof Refusal) || !/^gpx\/(xml|truncated)$/.test(error.diagnostics[0].code)) return error;
  const text = asBuffer(utf8).toString('utf8', from, from + REACH);
  const blanked = text.replace(/<!--[\s\S]*?-->|<!\[CDATA\[[\s\S]*?\]\]>|<\?[\s\S]*?\?>/g, (part) =>
    ' '.repeat(part.length),
  );
  const index = /&(?!(?:amp|lt|gt|quot|apos|#\d+|#x[\da-f]+);)/i.exec(blanked)?.index;
  if (index === undefined) return error;
  const before = asBuffer(utf8).toString('utf8', markLength(utf8), from) + text.slice(0, index);
  const at = endPlace(before);
  const { line = 0, column = Number.POSITIVE_INFINITY } = error.diagnostics[0].place ?? {};
  if (at.line > line || (at.line === line && at.column >= column)) return error;
  const isEntity = /^&\w+;/.test(blanked.slice(index));
  return new Refusal([malformation(at, isEntity ? 'undefined entity' : 'empty entity')]);
}
