import type { Diagnostic } from '../../../shared/contract/index.ts';
import { gpx as says } from '../../../shared/text/index.ts';

/** Our wording for the tokenizer's findings, by the start of its message. */
const MALFORMATIONS: readonly (readonly [begins: string, found: string, advice: string])[] = [
  [
    'undefined entity',
    'entity other than &amp; &lt; &gt; &quot; &apos;',
    'Write the character itself, and a plain & as &amp;, or pass --repair.',
  ],
  ['disallowed character in entity', '& that begins no entity', 'Write & as &amp;, or pass --repair.'],
  ['empty entity', '& that begins no entity', 'Write & as &amp;, or pass --repair.'],
  [
    'malformed character entity',
    'character reference that XML does not allow',
    'Remove it, or pass --repair.',
  ],
  ['disallowed character in tag', '< that begins no tag', 'Write < as &lt;, or pass --repair.'],
  [
    'disallowed character in attribute',
    'character in an attribute',
    'Write < as &lt; and put values in quotes.',
  ],
  ['disallowed character in', 'character in a name', 'Remove it.'],
  [
    'disallowed character',
    'control or other character that XML does not allow',
    'Remove it, or pass --repair.',
  ],
  [
    'unexpected close tag',
    'end tag that closes another element',
    'Close elements in the order in which they were opened, same letters.',
  ],
  ['unmatched closing tag', 'end tag without its start tag', 'Remove it.'],
  ['duplicate attribute', 'attribute given twice', 'Remove one; --repair does where both are alike.'],
  ['unbound namespace prefix', 'prefix without xmlns declaration', 'Declare it on <gpx>, or pass --repair.'],
  ['text data outside', 'text outside <gpx>', 'Remove it, or pass --repair.'],
  ['documents may contain only one root', 'second root element', 'Put each <gpx> into a file of its own.'],
  ['document must contain a root', 'end of file without <gpx>', 'Export the file again.'],
  [
    'an XML declaration must be at the start',
    'XML declaration after the start',
    'Remove what comes before it, or pass --repair.',
  ],
  [
    'the XML declaration must appear',
    'XML declaration after the start',
    'Remove what comes before it, or pass --repair.',
  ],
  ['inappropriately located doctype', '<!DOCTYPE ...>', 'Remove it.'],
  ['unquoted attribute value', 'attribute value without quotes', 'Put it in quotes.'],
  ['the string "]]>"', ']]> in text', 'Write > as &gt;.'],
  ['unexpected end', 'end of file', 'Copy the file again.'],
];

/** The tokenizer's complaint as a diagnostic. @param reason Its message, without the position. */
export function malformation(line: number, column: number, reason: string): Diagnostic {
  const known = MALFORMATIONS.find(([begins]) => reason.startsWith(begins));
  if (known !== undefined) return says.malformed(line, column, known[1], known[2]);
  return says.malformed(line, column, reason.replace(/\.$/, ''), 'Correct the file at this place.');
}
