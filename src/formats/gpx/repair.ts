import { isUtf8 } from 'node:buffer';
import { type Diagnostic, Refusal } from '../../../shared/contract/index.ts';
import { plural, gpxMessages as says } from '../../../shared/text/index.ts';
import { asBuffer, isKeptEncoding, markedEncoding } from './encoding.ts';

/** Comments, CDATA sections and processing instructions, which stay unchanged as they contain no markup. */
const HIDDEN = /<!--[\s\S]*?-->|<!\[CDATA\[[\s\S]*?\]\]>|<\?[\s\S]*?\?>/.source;
const TAG = /<\/?[A-Za-z_:](?:[^<>"']|"[^"]*"|'[^']*')*>/.source;
const AMPERSAND = /&(?:#\d+;|#x[\da-f]+;)?(?!(?:amp|lt|gt|quot|apos);)/.source;
const LONE_ANGLE = /<(?![A-Za-z_:!/?])/.source;
const CONTROL = '[\\u0000-\\u0008\\u000b\\u000c\\u000e-\\u001f]';
const FAULTS = new RegExp(`${HIDDEN}|${TAG}|${AMPERSAND}|${LONE_ANGLE}|${CONTROL}`, 'gi');
const IN_TAG = new RegExp(`${AMPERSAND}|(?!^)<|${CONTROL}`, 'gi');

interface Repaired {
  readonly bytes: Uint8Array;
  readonly diagnostics: readonly Diagnostic[];
}

type Say = (line: number, what: string) => void;

/**
 * Repairs what XML does not allow in a slightly broken export; every other byte stays the same.
 *
 * Faults repaired: `&` and `<` that begin nothing, unknown entities, control characters, references to
 * illegal characters, junk around the document, an attribute repeated with the same value, an undeclared
 * prefix, a wrong byte-order mark, a wrong or missing declaration of the encoding, and elements cut off by
 * the end of the file.
 *
 * @returns The same bytes when nothing was repaired, else the new bytes with one message per repair.
 */
export function repair(bytes: Uint8Array): Repaired {
  const encoded = repairEncoding(bytes);
  const encoding = markedEncoding(encoded.bytes);
  const text = decode(encoded.bytes, encoding);
  const diagnostics: Diagnostic[] = [];
  const say: Say = (line, what) => void diagnostics.push(says.repaired({ line }, what));
  const { start, end } = bodyOf(text, say);
  const markup = repairMarkup(text, start, end, say);
  const whole = closeOpen(declarePrefixes(markup, say), say);
  if (diagnostics.length === 0) return encoded;
  const mark = /^(?:\ufeff|\u00ef\u00bb\u00bf)/.exec(text)?.[0] ?? '';
  return {
    bytes: encode(mark + whole, encoding),
    diagnostics: [...encoded.diagnostics, ...diagnostics],
  };
}

/** Decodes UTF-16. In any other encoding each byte becomes one character, which keeps the ASCII markup. */
function decode(bytes: Uint8Array, encoding: string | undefined): string {
  if (!encoding?.startsWith('utf-16')) return asBuffer(bytes).toString('latin1');
  const even = Buffer.from(bytes.subarray(0, bytes.length & ~1));
  return (encoding === 'utf-16be' ? even.swap16() : even).toString('utf16le');
}

function encode(text: string, encoding: string | undefined): Uint8Array {
  if (!encoding?.startsWith('utf-16')) return Buffer.from(text, 'latin1');
  const bytes = Buffer.from(text, 'utf16le');
  return encoding === 'utf-16be' ? bytes.swap16() : bytes;
}

/** Returns the start and end of the document, without the byte-order mark and junk around it. */
function bodyOf(text: string, say: Say): { readonly start: number; readonly end: number } {
  const mark = /^(?:\ufeff|\u00ef\u00bb\u00bf)?/.exec(text)![0].length;
  const declared = text.search(/<\?xml\s/);
  const root = text.search(/<(?:[\w.-]+:)?gpx[\s>]/);
  const first = declared >= 0 && (root < 0 || declared < root) ? declared : root;
  const isBlank = text.slice(mark, first).trim() === '';
  const before = text.slice(mark, Math.max(mark, first));
  // Comments may precede the root. A document type is refused with its own message.
  const isJunk = before !== '' && (first === declared || !(isBlank || /^\s*<[!?]/.test(before)));
  if (isJunk)
    say(1, isBlank ? 'white space before the XML declaration left out' : 'text before the XML left out');
  const start = isJunk ? first : mark;
  const close = /<\/(?:[\w.-]+:)?gpx\s*>/.exec(text);
  if (close === null) return { start, end: text.length };
  const end = close.index + close[0].length;
  const after = text.slice(end);
  // A second document is not junk, since it may hold marks.
  const isLeft =
    after.replace(/<!--[\s\S]*?-->|<\?[\s\S]*?\?>/g, '').trim() === '' ||
    /<\/?(?:[\w.-]+:)?(?:gpx|wpt)\b/.test(after);
  if (isLeft) return { start, end: text.length };
  say(lineCounter(text)(end), `${plural(after.trim().length, 'character')} after the end of <gpx> left out`);
  return { start, end };
}

function repairMarkup(text: string, start: number, end: number, say: Say): string {
  const lineAt = lineCounter(text);
  const character = (found: string, line: number): string => {
    if (found === '<') say(line, '< written as &lt;');
    else if (found === '&') say(line, '& written as &amp;');
    else if (found.startsWith('&') && isLegalReference(found)) return found;
    else {
      say(line, 'control character replaced by a space');
      return ' ';
    }
    return found === '<' ? '&lt;' : '&amp;';
  };
  return text.slice(start, end).replace(FAULTS, (found: string, at: number) => {
    if (/^<[!?]/.test(found)) return found;
    const line = lineAt(start + at);
    if (!/^<./.test(found)) return character(found, line);
    const tag = found.replace(IN_TAG, (inner) => character(inner, line));
    return withoutRepeated(tag, line, say);
  });
}

function isLegalReference(reference: string): boolean {
  const code = /^&#x/i.test(reference)
    ? Number.parseInt(reference.slice(3, -1), 16)
    : Number(reference.slice(2, -1));
  if (code < 0x20) return code === 9 || code === 10 || code === 13;
  return code <= 0x10ffff && (code < 0xd800 || code > 0xdfff) && code !== 0xfffe && code !== 0xffff;
}

/** Removes attributes that repeat an earlier name and value. A name with another value is refused later. */
function withoutRepeated(tag: string, line: number, say: Say): string {
  const seen = new Map<string, string>();
  return tag.replace(/\s+([^\s=<>"'/]+)\s*=\s*("[^"]*"|'[^']*')/g, (whole, name: string, value: string) => {
    const before = seen.get(name);
    seen.set(name, before ?? value.slice(1, -1));
    if (before !== value.slice(1, -1)) return whole;
    say(line, `attribute ${name} left out where it is given again`);
    return '';
  });
}

function declarePrefixes(text: string, say: Say): string {
  const declared = new Set(['xml', 'xmlns']);
  for (const [, prefix] of text.matchAll(/\sxmlns:([\w.-]+)\s*=/g)) declared.add(prefix);
  const lineAt = lineCounter(text);
  const missing = new Set<string>();
  for (const { 0: tag, index } of text.matchAll(new RegExp(`${HIDDEN}|${TAG}`, 'g'))) {
    if (/^<[!?/]/.test(tag)) continue;
    const names = tag.replace(/"[^"]*"|'[^']*'/g, '').matchAll(/[<\s]([A-Za-z_][\w.-]*):[A-Za-z_]/g);
    for (const [, prefix] of names) {
      if (declared.has(prefix) || missing.has(prefix)) continue;
      missing.add(prefix);
      say(lineAt(index), `prefix ${prefix} declared on <gpx>`);
    }
  }
  const added = [...missing].map((prefix) => ` xmlns:${prefix}="urn:undeclared:${prefix}"`).join('');
  return added === '' ? text : text.replace(/<(?:[\w.-]+:)?gpx(?=[\s>])/, (root) => root + added);
}

/** Closes the open elements of a text that was cut off. A cut tag or reference at the end is dropped. */
function closeOpen(text: string, say: Say): string {
  const open: string[] = [];
  for (const [tag] of text.matchAll(new RegExp(`${HIDDEN}|${TAG}`, 'g'))) {
    if (/^<[!?]/.test(tag) || tag.endsWith('/>')) continue;
    const name = /^<\/?([^\s/>]+)/.exec(tag)![1];
    if (!tag.startsWith('</')) open.push(name);
    // Overlapping elements are refused later, with their line.
    else if (open.pop() !== name) return text;
  }
  if (open.length < 2) return text;
  // In a CDATA section or comment that was cut off, content cannot be told from markup.
  const last = text.lastIndexOf('<');
  const isCut = last >= 0 && !/>/.test(text.slice(last));
  if (/<!(?:--|\[CDATA\[)/.test(isCut ? text.slice(last) : '')) return text;
  const kept = (isCut ? text.slice(0, last) : text).replace(/&[^;\s]{0,8}$/, '').trimEnd();
  const line = kept.split('\n').length;
  say(line, `<${open[1]}> closed where the file ends, and its text may be cut short`);
  return `${kept}${open
    .reverse()
    .map((name) => `</${name}>`)
    .join('')}\n`;
}

/** Returns a function that gives the 1-based line of a position. Successive positions must ascend. */
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

/**
 * Removes a tail of NUL or FF bytes from a file when requested.
 *
 * @throws Refusal for an empty file, a file of such bytes only, or a tail whose removal was not requested.
 */
export function withoutErasedTail(bytes: Uint8Array, isAsked: boolean): Repaired {
  if (bytes.length === 0) throw new Refusal([says.empty({})]);
  const value = bytes[bytes.length - 1];
  if (value !== 0 && value !== 0xff) return { bytes, diagnostics: [] };
  // In UTF-16 a NUL byte may be half of the last character. UTF-32 is refused later.
  if (markedEncoding(bytes) === 'utf-32le') return { bytes, diagnostics: [] };
  const width = markedEncoding(bytes)?.startsWith('utf-16') ? 2 : 1;
  let end = bytes.length;
  while (end >= width && bytes[end - 1] === value && bytes[end - width] === value) end -= width;
  const count = bytes.length - end;
  if (count === 0) return { bytes, diagnostics: [] };
  const name = value === 0 ? 'NUL' : 'FF';
  if (end === 0) throw new Refusal([says['not-gpx erased']({}, name)]);
  if (!isAsked) {
    let line = 1;
    for (let at = bytes.indexOf(0x0a); at >= 0 && at < end; at = bytes.indexOf(0x0a, at + 1)) line++;
    throw new Refusal([says.tail({ line }, count, name)]);
  }
  return { bytes: bytes.subarray(0, end), diagnostics: [says['tail left-out']({}, count, name)] };
}

const UTF8_MARK = '\u00ef\u00bb\u00bf';
const WRONG_MARKS = /^(?:\u00ff\u00fe|\u00fe\u00ff)(?=\s*<)/;
const DECLARATION = /^(\s*<\?xml\s[^>]*?encoding\s*=\s*["'])([^"']*)(["'])/;

/**
 * Makes the byte-order mark and the declared encoding match the actual encoding. Nothing else is changed.
 *
 * A UTF-16 byte-order mark before single-byte text is removed, and so is each further UTF-8 mark. An encoding
 * that is unknown or wrong becomes UTF-8 if the bytes are valid UTF-8, else windows-1252, which western
 * chartplotters write. A file that declares no encoding counts as UTF-8. UTF-16 text stays unchanged.
 */
function repairEncoding(bytes: Uint8Array): Repaired {
  const diagnostics: Diagnostic[] = [];
  const buffer = asBuffer(bytes);
  // In UTF-16, every second byte of markup is NUL.
  if (buffer.subarray(2, 40).includes(0)) return { bytes, diagnostics };
  let text = buffer.toString('latin1');
  if (WRONG_MARKS.test(text)) {
    text = text.slice(2);
    diagnostics.push(
      says.repaired({ line: 1 }, 'UTF-16 byte-order mark left out, because the text is not UTF-16'),
    );
  }
  while (text.startsWith(UTF8_MARK + UTF8_MARK)) {
    text = text.slice(UTF8_MARK.length);
    diagnostics.push(says.repaired({ line: 1 }, 'second byte-order mark left out'));
  }
  const isUnicode = isUtf8(Buffer.from(text, 'latin1'));
  const body = text.startsWith(UTF8_MARK) ? text.slice(UTF8_MARK.length) : text;
  const declared = DECLARATION.exec(body)?.[2];
  const isRight =
    declared === undefined || /^(?:utf-?8|(?:us-)?ascii)$/i.test(declared)
      ? isUnicode
      : isKeptEncoding(declared);
  if (!isRight) {
    const now = isUnicode ? 'UTF-8' : 'windows-1252';
    text =
      declared === undefined
        ? `<?xml version="1.0" encoding="${now}"?>${body.replace(/^\s*<\?xml[^>]*\?>/, '')}`
        : body.replace(DECLARATION, (_, before: string, _old, after: string) => before + now + after);
    diagnostics.push(
      says.repaired({ line: 1 }, `file read as ${now}, because it cannot be read as ${declared ?? 'UTF-8'}`),
    );
  }
  return { bytes: diagnostics.length === 0 ? bytes : Buffer.from(text, 'latin1'), diagnostics };
}
