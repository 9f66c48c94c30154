/** Fragments of XML and GPX that readers may mishandle. */
const PIECES = [
  '<',
  '>',
  '&',
  '"',
  "'",
  '/',
  '/>',
  '</',
  '<!--',
  '-->',
  '<![CDATA[',
  ']]>',
  '<?',
  '?>',
  '<!DOCTYPE x>',
  '&amp;',
  '&#0;',
  '&#x41;',
  '&nbsp;',
  '\0',
  '\r',
  '\n',
  '\t',
  '\uFEFF',
  '\uFFFE',
  '\u0085',
  '\u2028',
  '<wpt lat="1" lon="2"/>',
  '</wpt>',
  '<wpt',
  '<name>',
  '</name>',
  '<cmt/>',
  '<cmt>',
  '</cmt>',
  '<extensions>',
  '</extensions>',
  '<extensions/>',
  '</gpx>',
  '<gpx>',
  ' [ds: cut',
  '[ds: x]',
  '<type>boat position</type>',
  'Boat 25ft, cast 34M',
  ' xmlns=""',
  ' xmlns:ds="urn:downslope:gpx:1"',
  ' xmlns:ds="urn:other"',
  '<ds:waypoint>',
  '</ds:waypoint>',
  '<ds:waypoint made="comment extensions waypoint-opened"/>',
  '<ds:boat/>',
  '<ds:name as="A">B</ds:name>',
  ' made="comment-opened"',
  'ds:',
  'g:',
  ' D',
  ' U',
  '1e999',
  'NaN',
  '-',
  '180',
  '\xff',
  '\x80',
  '<?xml version="1.1"?>',
  'encoding="UTF-16"',
  'encoding="shift_jis"',
].map((piece) => Buffer.from(piece, 'utf8'));

/**
 * Changes a file in one to four places: replaces, cuts or repeats bytes, exchanges tags, or inserts
 * fragments.
 *
 * @param other Another file, parts of which may be inserted.
 */
export function mutate(bytes: Uint8Array, other: Uint8Array, random: () => number): Uint8Array {
  let result = Buffer.from(bytes);
  const changes = 1 + Math.floor(random() * random() * 4);
  for (let i = 0; i < changes; i++) result = change(result, other, random);
  return result;
}

function change(bytes: Buffer, other: Uint8Array, random: () => number): Buffer<ArrayBuffer> {
  const at = Math.floor(random() * (bytes.length + 1));
  const length = 1 + Math.floor(random() * random() * 60);
  const splice = (start: number, end: number, put: Uint8Array): Buffer<ArrayBuffer> =>
    Buffer.concat([bytes.subarray(0, start), put, bytes.subarray(end)]);
  const kind = random();
  if (kind < 0.35) return splice(at, at, PIECES[Math.floor(random() * PIECES.length)]);
  if (kind < 0.5) return splice(at, at + 1, Uint8Array.of(Math.floor(random() * 256)));
  if (kind < 0.65) return splice(at, at + length, new Uint8Array(0));
  if (kind < 0.75) return splice(at, at, bytes.subarray(at, at + length));
  if (kind < 0.85) return swapTags(bytes, random);
  if (kind < 0.95) {
    const from = Math.floor(random() * other.length);
    return splice(at, at, other.subarray(from, from + length * 4));
  }
  return random() < 0.5
    ? splice(at, bytes.length, new Uint8Array(0))
    : splice(bytes.length, bytes.length, Buffer.alloc(length, random() < 0.5 ? 0 : 0xff));
}

/** Replaces a tag with another tag of the file, or doubles it. */
function swapTags(bytes: Buffer, random: () => number): Buffer<ArrayBuffer> {
  const tags = [...bytes.toString('latin1').matchAll(/<[^<>]*>/g)];
  if (tags.length < 2) return Buffer.from(bytes);
  const [a, b] = [tags[Math.floor(random() * tags.length)], tags[Math.floor(random() * tags.length)]];
  const end = b.index + b[0].length;
  return Buffer.concat([
    bytes.subarray(0, b.index),
    Buffer.from(random() < 0.5 ? a[0] : b[0] + b[0], 'latin1'),
    bytes.subarray(end),
  ]);
}
