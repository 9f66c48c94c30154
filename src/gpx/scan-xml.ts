import { isAscii } from 'node:buffer';
import { SaxesParser, type SaxesTagNS } from 'saxes';
import { type Diagnostic, Refusal } from '../../shared/diagnostics/diagnostic.ts';
import * as says from '../../shared/diagnostics/gpx.ts';
import { asBuffer } from './encoding.ts';
import { kindOfRoot } from './file-kind.ts';

/** Elements may nest this deep; real files reach about 10. */
export const DEPTH_LIMIT = 256;
/** Attributes on one element; real files have about 20 on the root. */
export const ATTRIBUTE_LIMIT = 1000;

/** What is told of each element, in order. */
export interface XmlVisitor {
  /** After the `>` of a start tag; a self-closing element is closed right after. */
  open(tag: SaxesTagNS, scanner: XmlScanner): void;
  /** After the `>` of an end tag. */
  close(tag: SaxesTagNS, scanner: XmlScanner): void;
}

/** A strict XML reader that knows where it stands. */
export interface XmlScanner {
  /** Reads the next bytes of the file's UTF-8 form; cut between characters, without byte-order mark. */
  write(chunk: Uint8Array): void;
  /** Says that the file ends here. */
  close(): void;
  /** Elements open, the one told of included. */
  readonly depth: number;
  /** Bytes read up to the end of the tag told of. */
  offset(): number;
  /** 1-based line on which the tag told of ends. */
  readonly line: number;
  /** Sends text to `handler` from now on, or nowhere: text costs time. */
  capture(handler: ((text: string) => void) | undefined): void;
}

/**
 * Strict reading of GPX text: refuses document types, what is not well-formed, deep nesting, another root.
 *
 * @param start Bytes that stand before the first chunk (the byte-order mark).
 * @throws Refusal from `write` and `close`, with line and column.
 */
export function createXmlScanner(file: string, start: number, visitor: XmlVisitor): XmlScanner {
  const parser = new SaxesParser({ xmlns: true });
  /** Names and lines of the elements open. */
  const tags: string[] = [];
  const lines: number[] = [];
  const chunk = {
    bytes: new Uint8Array(0) as Uint8Array,
    ascii: true,
    firstByte: start,
    firstChar: 0,
    length: 0,
  };
  const cursor = { byte: 0, char: 0 };
  let isEnding = false;
  /** Characters up to the end of the tag before. */
  let tagBefore = 0;

  const refuse = (reason: string): never => {
    throw new Refusal([
      isEnding && tags.length > 0
        ? endsInside(file, parser.line, tags, lines)
        : malformation(file, parser.line, parser.columnIndex, reason),
    ]);
  };
  const checkTag = (tag: SaxesTagNS): void => {
    if (tags.length === 0) refuseRoot(file, parser.line, tag.name, parser.xmlDecl.version, refuse);
    if (tags.length >= DEPTH_LIMIT) {
      throw new Refusal([says.tooDeep(file, parser.line, parser.columnIndex, DEPTH_LIMIT)]);
    }
    // Counting costs time: only a long stretch of text can hold many attributes.
    const { position } = parser;
    if (position - tagBefore > ATTRIBUTE_LIMIT * 4 && Object.keys(tag.attributes).length > ATTRIBUTE_LIMIT) {
      throw new Refusal([says.tooManyAttributes(file, parser.line, tag.name, ATTRIBUTE_LIMIT)]);
    }
    tagBefore = position;
  };
  // Six handlers, text and CDATA among them, and no more: with a seventh the engine keeps the parser's
  // properties in a hash table from then on, and reading takes four times as long.
  parser.on('error', (error) => refuse(error.message.replace(/^\d+:\d+: /, '')));
  parser.on('doctype', () => {
    throw new Refusal([says.doctype(file, parser.line, parser.columnIndex)]);
  });
  parser.on('opentag', (tag) => {
    checkTag(tag);
    tags.push(tag.name);
    lines.push(parser.line);
    visitor.open(tag, scanner);
  });
  parser.on('closetag', (tag) => {
    tagBefore = parser.position;
    visitor.close(tag, scanner);
    tags.pop();
    lines.pop();
  });

  const scanner: XmlScanner = {
    write(bytes) {
      chunk.firstByte += chunk.bytes.length;
      chunk.firstChar += chunk.length;
      const buffer = asBuffer(bytes);
      chunk.bytes = bytes;
      chunk.ascii = isAscii(bytes);
      const text = chunk.ascii ? buffer.toString('latin1') : buffer.toString('utf8');
      chunk.length = text.length;
      cursor.byte = 0;
      cursor.char = 0;
      parser.write(text);
    },
    close() {
      isEnding = true;
      parser.close();
    },
    get depth() {
      return tags.length;
    },
    offset() {
      const char = parser.position - chunk.firstChar;
      if (chunk.ascii) return chunk.firstByte + char;
      advance(cursor, chunk.bytes, char);
      return chunk.firstByte + cursor.byte;
    },
    get line() {
      return parser.line;
    },
    capture(handler) {
      if (handler === undefined) {
        parser.off('text');
        parser.off('cdata');
      } else {
        parser.on('text', handler);
        parser.on('cdata', handler);
      }
    },
  };
  return scanner;
}

/** Bytes given to the scanner at once. */
const CHUNK = 1 << 16;

/** Gives the scanner a whole text in pieces that end between characters. */
export function scanAll(scanner: XmlScanner, utf8: Uint8Array, start: number): void {
  let at = start;
  while (at < utf8.length) {
    let end = Math.min(at + CHUNK, utf8.length);
    while (end < utf8.length && (utf8[end] & 0xc0) === 0x80) end--;
    scanner.write(utf8.subarray(at, end));
    at = end;
  }
  scanner.close();
}

/** Moves a cursor over UTF-8 bytes to the place of a character, counted in UTF-16 code units. */
function advance(cursor: { byte: number; char: number }, bytes: Uint8Array, char: number): void {
  while (cursor.char < char) {
    const lead = bytes[cursor.byte];
    const length = lead < 0x80 ? 1 : lead < 0xe0 ? 2 : lead < 0xf0 ? 3 : 4;
    cursor.byte += length;
    cursor.char += length === 4 ? 2 : 1;
  }
}

function refuseRoot(
  file: string,
  line: number,
  tag: string,
  version: string | undefined,
  refuse: (reason: string) => never,
): void {
  if (version !== undefined && version !== '1.0' && version !== '1.1') refuse(`XML version ${version}`);
  if (tag.slice(tag.indexOf(':') + 1) === 'gpx') return;
  const kind = kindOfRoot(tag);
  throw new Refusal([kind === undefined ? says.wrongRoot(file, line, tag) : says.otherFileKind(file, kind)]);
}

function endsInside(
  file: string,
  line: number,
  tags: readonly string[],
  lines: readonly number[],
): Diagnostic {
  // A child of <gpx> says more than the innermost element: it is what the person loses.
  const outer = Math.min(1, tags.length - 1);
  return says.truncated(file, line, tags[outer], lines[outer]);
}

/** What the tokenizer found wrong, in our words, by how its own sentence begins. */
const MALFORMATIONS: readonly (readonly [begins: string, found: string, advice: string])[] = [
  [
    'undefined entity',
    'entity other than &amp; &lt; &gt; &quot; &apos;',
    'Write the character itself, and a plain & as &amp;.',
  ],
  ['disallowed character in entity', '& that begins no entity', 'Write & as &amp;.'],
  ['empty entity', '& that begins no entity', 'Write & as &amp;.'],
  ['malformed character entity', 'character reference that XML does not allow', 'Remove it.'],
  ['disallowed character in tag', '< that begins no tag', 'Write < as &lt;.'],
  [
    'disallowed character in attribute',
    'character in an attribute',
    'Write < as &lt; and put values in quotes.',
  ],
  ['disallowed character in', 'character in a name', 'Remove it.'],
  ['disallowed character', 'control or other character that XML does not allow', 'Remove it.'],
  [
    'unexpected close tag',
    'end tag that closes another element',
    'Close elements in the order in which they were opened, same letters.',
  ],
  ['unmatched closing tag', 'end tag without its start tag', 'Remove it.'],
  ['duplicate attribute', 'attribute given twice', 'Remove one.'],
  ['unbound namespace prefix', 'prefix without xmlns declaration', 'Declare it on <gpx>.'],
  ['text data outside', 'text outside <gpx>', 'Remove it.'],
  ['documents may contain only one root', 'second root element', 'Put each <gpx> into a file of its own.'],
  ['document must contain a root', 'end of file without <gpx>', 'Export the file again.'],
  [
    'an XML declaration must be at the start',
    'XML declaration after the start',
    'Remove what stands before it.',
  ],
  ['the XML declaration must appear', 'XML declaration after the start', 'Remove what stands before it.'],
  ['inappropriately located doctype', '<!DOCTYPE ...>', 'Remove it.'],
  ['unquoted attribute value', 'attribute value without quotes', 'Put it in quotes.'],
  ['the string "]]>"', ']]> in text', 'Write > as &gt;.'],
  ['unexpected end', 'end of file', 'Copy the file again.'],
];

function malformation(file: string, line: number, column: number, reason: string) {
  const known = MALFORMATIONS.find(([begins]) => reason.startsWith(begins));
  if (known !== undefined) return says.malformed(file, line, column, known[1], known[2]);
  return says.malformed(file, line, column, reason.replace(/\.$/, ''), 'Mend the file at this place.');
}
