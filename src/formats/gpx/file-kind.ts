/** First bytes of files that are often named .gpx by mistake, and what those files are. */
const MAGIC: readonly (readonly [offset: number, bytes: string, kind: string])[] = [
  [0, '\x1f\x8b', 'a gzip file'],
  [0, 'BZh', 'a bzip2 file'],
  [0, 'PK\x03\x04', 'a zip file'],
  [0, '7z\xbc\xaf\x27\x1c', 'a 7z archive'],
  [0, '\xfd7zXZ', 'an xz file'],
  [0, '\x28\xb5\x2f\xfd', 'a zstd file'],
  [0, '\xff\xd8\xff', 'a JPEG picture'],
  [0, '\x89PNG', 'a PNG picture'],
  [0, 'GIF8', 'a GIF picture'],
  [0, '%PDF', 'a PDF document'],
  [257, 'ustar', 'a tar archive'],
];

/** Kind of a file whose first bytes show that it is not XML; undefined when it may be XML. */
export function otherKind(bytes: Uint8Array): string | undefined {
  const head = Buffer.from(bytes.buffer, bytes.byteOffset, Math.min(bytes.length, 512)).toString('latin1');
  for (const [offset, magic, kind] of MAGIC) if (head.startsWith(magic, offset)) return kind;
  return undefined;
}

/** Kind of a text that does not begin with markup; undefined when it does. */
export function otherText(head: string): string | undefined {
  const text = head.trimStart();
  if (text.startsWith('<')) return undefined;
  if (text.startsWith('{') || text.startsWith('[')) return 'JSON';
  return 'text that does not begin with <';
}

/** Kind of a file with this root element; undefined when it is not known. */
export function kindOfRoot(tag: string): string | undefined {
  const local = tag.slice(tag.indexOf(':') + 1);
  const kinds: Readonly<Record<string, string>> = {
    html: 'an HTML page',
    kml: 'a KML file',
    svg: 'an SVG picture',
  };
  return kinds[local.toLowerCase()];
}
