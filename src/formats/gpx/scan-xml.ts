import { isAscii } from 'node:buffer';
import { SaxesParser, type SaxesTagNS } from 'saxes';
import { type Diagnostic, Refusal } from '../../../shared/contract/index.ts';
import { gpxMessages as says } from '../../../shared/text/index.ts';
import { asBuffer } from './encoding.ts';
import { malformation } from './malformations.ts';

/** Maximum nesting depth of elements; real files reach about 10. */
export const DEPTH_LIMIT = 256;
/** Maximum number of attributes on one element; real files have about 20 on the root. */
export const ATTRIBUTE_LIMIT = 1000;

/** Callbacks for the tags of a text, in order. */
export interface XmlVisitor {
  /** Called after the `>` of a start tag; for a self-closing element, `close` follows immediately. */
  open(tag: SaxesTagNS, scanner: XmlScanner): void;
  /** Called after the `>` of an end tag. */
  close(tag: SaxesTagNS, scanner: XmlScanner): void;
}

/** A strict XML reader that tracks its position. */
export interface XmlScanner {
  /** Reads the next bytes of the file, in UTF-8. They must end between characters; no byte-order mark. */
  write(chunk: Uint8Array): void;
  /** Marks the end of the file. */
  close(): void;
  /** Number of open elements, including the reported element. */
  readonly depth: number;
  /** Returns the number of bytes up to the end of the reported tag. */
  offset(): number;
  /** 1-based line on which the reported tag ends. */
  readonly line: number;
  /** Sends text to `handler` from now on. Undefined stops sending, which saves time. */
  capture(handler: ((text: string) => void) | undefined): void;
}

/**
 * Creates a strict reader of GPX text. It refuses malformed XML, XML versions besides 1.0 and 1.1, document
 * types, nesting deeper than `DEPTH_LIMIT`, more attributes than `ATTRIBUTE_LIMIT`, and a root other than
 * `gpx`.
 *
 * @param start Number of bytes before the first chunk (the byte-order mark).
 * @throws Refusal from `write` and `close`, with line and column if known.
 */
export function createXmlScanner(start: number, visitor: XmlVisitor): XmlScanner {
  const parser = new SaxesParser({ xmlns: true });
  const tags: string[] = [];
  /** Lines on which the start tags of the open elements end. */
  const lines: number[] = [];
  const places = createBytePlaces(start);
  let isEnding = false;
  /** Number of characters up to the end of the previous tag. */
  let tagBefore = 0;

  const refuse = (reason: string): never => {
    throw new Refusal([
      isEnding && tags.length > 0
        ? endsInside(parser, tags, lines)
        : malformation({ line: parser.line, column: parser.columnIndex }, reason),
    ]);
  };
  const checkTag = (tag: SaxesTagNS): void => {
    if (tags.length === 0) refuseRoot(parser.line, tag.name, parser.xmlDecl.version, refuse);
    if (tags.length >= DEPTH_LIMIT) {
      throw new Refusal([says.depth({ line: parser.line, column: parser.columnIndex }, DEPTH_LIMIT)]);
    }
    // Counting costs time, and only a long stretch of text can hold many attributes.
    const { position } = parser;
    if (position - tagBefore > ATTRIBUTE_LIMIT * 4 && Object.keys(tag.attributes).length > ATTRIBUTE_LIMIT) {
      throw new Refusal([says.attributes({ line: parser.line }, tag.name, ATTRIBUTE_LIMIT)]);
    }
    tagBefore = position;
  };
  // The parser gets at most six handlers, including text and CDATA. With a seventh, V8 moves the parser's
  // properties into a hash table, and reading takes four times as long. All six are set from the start so
  // that code compiled for one parser also serves the next.
  parser.on('text', () => undefined);
  parser.on('cdata', () => undefined);
  parser.on('error', (error) => refuse(error.message.replace(/^\d+:\d+: /, '')));
  parser.on('doctype', () => {
    throw new Refusal([says.doctype({ line: parser.line, column: parser.columnIndex })]);
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
  parser.off('text');
  parser.off('cdata');

  const scanner: XmlScanner = {
    write(bytes) {
      parser.write(places.take(bytes));
    },
    close() {
      isEnding = true;
      parser.close();
    },
    get depth() {
      return tags.length;
    },
    offset: () => places.at(parser.position),
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

/**
 * Converts character positions to byte offsets in a text that arrives in pieces.
 *
 * @param start Number of bytes before the first piece.
 */
function createBytePlaces(start: number) {
  let piece = '';
  /** Bytes and UTF-16 code units before the current piece. */
  const before = { bytes: start, chars: 0 };
  /** Bytes and code units of the current piece before the last requested position. */
  const passed = { bytes: 0, chars: 0 };
  let length = 0;
  return {
    take(bytes: Uint8Array): string {
      before.bytes += length;
      before.chars += piece.length;
      passed.bytes = 0;
      passed.chars = 0;
      length = bytes.length;
      piece = asBuffer(bytes).toString(isAscii(bytes) ? 'latin1' : 'utf8');
      return piece;
    },
    /**
     * Returns the number of bytes before a code unit of the current piece.
     *
     * @param char Code units from the start of the text, never fewer than in the previous call.
     */
    at(char: number): number {
      const chars = char - before.chars;
      if (piece.length === length) return before.bytes + chars;
      passed.bytes += Buffer.byteLength(piece.slice(passed.chars, chars));
      passed.chars = chars;
      return before.bytes + passed.bytes;
    },
  };
}

/** Maximum number of bytes passed to the scanner at once. */
const CHUNK = 1 << 16;

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

const OTHER_ROOTS = new Map([
  ['html', 'an HTML page'],
  ['kml', 'a KML file'],
  ['svg', 'an SVG picture'],
]);

function refuseRoot(
  line: number,
  tag: string,
  version: string | undefined,
  refuse: (reason: string) => never,
): void {
  if (version !== undefined && version !== '1.0' && version !== '1.1') refuse(`XML version ${version}`);
  if (tag.slice(tag.indexOf(':') + 1) === 'gpx') return;
  const kind = OTHER_ROOTS.get(tag.slice(tag.indexOf(':') + 1).toLowerCase());
  throw new Refusal([kind === undefined ? says['not-gpx root']({ line }, tag) : says['not-gpx']({}, kind)]);
}

function endsInside(parser: SaxesParser, tags: readonly string[], lines: readonly number[]): Diagnostic {
  const { line } = parser;
  // The parser takes everything after a lone `&` as the name of an entity, up to the next `;`.
  const entity = String(Reflect.get(parser, 'entity') ?? '');
  if (/[\s<]/.test(entity))
    return malformation({ line: line - entity.split('\n').length + 1 }, 'empty entity');
  // Reports the child of <gpx> rather than the innermost element, because that child is what the user loses.
  const outer = Math.min(1, tags.length - 1);
  return says.truncated({ line }, tags[outer], lines[outer]);
}
