import { FIELDS, type FieldDefinition, thrownIn } from '../../../shared/contract/index.ts';
import { decimalsOf } from '../../../shared/text/index.ts';
import { type Edit, isUndone } from './edits.ts';
import { asBuffer, encodeFile, markLength } from './encoding.ts';
import type { AddedValue, GpxDocument, WaypointAddition } from './gpx-document.ts';
import { createXmlScanner, scanAll } from './scan-xml.ts';
import { parseAgain } from './second-parser.ts';
import type { EditedPlaces } from './split-gpx.ts';

/** Maximum length of a text that is parsed whole, bytes. */
const WHOLE = 1 << 20;
/** Size that completes a portion of a longer text, bytes; small because a parsed tree takes much memory. */
const PORTION = 1 << 19;
/** Minimum gap between waypoints that ends a portion, bytes. Text between portions is not parsed again. */
const GAP = 4096;

/**
 * Checks values and boat positions before they are written. Every value needs a name that XML allows. The
 * value of a numeric field, and a value with a unit, must be a plain number with at most 6 decimals
 * (coordinates 7). A length, an angle or a coordinate needs a unit. A boat position needs coordinates that
 * can be written.
 *
 * @throws Error for a value or position that fails, which is a defect of the program or of a plugin.
 */
export function checkValues(additions: readonly WaypointAddition[]): void {
  for (const { values, partners } of additions) {
    for (const value of [...values, ...partners.flatMap((partner) => partner.values)]) checkValue(value);
    const lost = partners.find(({ lat, lon }) => !(Math.abs(lat) <= 90 && Math.abs(lon) <= 540));
    if (lost !== undefined) throw new Error(`Boat position at ${lost.lat}, ${lost.lon} cannot be written.`);
  }
}

function checkValue({ name, value, unit }: AddedValue): void {
  if (!/^[A-Za-z_][\w.-]*$/.test(name)) throw new Error(`Value name ${JSON.stringify(name)} is no XML name.`);
  const definition = (FIELDS as Readonly<Record<string, FieldDefinition | undefined>>)[name];
  if (definition?.type !== 'number' && unit === undefined) return;
  const decimals = definition?.unit === 'degree-coordinate' ? 7 : 6;
  if (!/^-?\d+(\.\d+)?$/.test(value) || decimalsOf(value) > decimals) {
    throw new Error(
      `Value ${JSON.stringify(value)} of ${name} is not a number with up to ${decimals} decimals.`,
    );
  }
  const isBare = definition === undefined || definition.unit === 'count' || definition.unit === 'ratio';
  if (!isBare && unit === undefined) throw new Error(`Value ${value} of ${name} has no unit.`);
}

/**
 * Checks that undoing the edits gives the input's bytes and that the edited text is well-formed. Of a text
 * longer than WHOLE, only stretches with waypoints are parsed again, each inside a copy of the root.
 *
 * @param places Positions of the waypoints in the edited text.
 * @throws Error, which is a defect, when the edits or the encoding cannot be undone, or when the first parser
 * refuses the text.
 * @throws Refusal when the second parser does not accept the text.
 */
export function verifyEdited(
  document: GpxDocument,
  edits: readonly Edit[],
  edited: Uint8Array,
  bytes: Uint8Array,
  places: EditedPlaces,
): void {
  if (!isUndone(document.utf8, edits, edited))
    throw new Error(`Additions to ${document.file} cannot be taken out again.`);
  if (document.encoding !== 'utf-8') {
    const again = encodeFile(document.utf8, document.encoding);
    if (!asBuffer(again).equals(document.bytes))
      throw new Error(`${document.file} does not come back from UTF-8.`);
    if (encodeFile(edited, document.encoding).length !== bytes.length)
      throw new Error(`Encoding ${document.encoding} is not stable.`);
  }
  for (const text of portions(document, edited, places)) {
    scanStrictly(text, document.file);
    parseAgain(text, document.file);
  }
}

/** Yields a short text whole. Of a longer text, yields documents with the root and some of the waypoints. */
function* portions(
  document: GpxDocument,
  edited: Uint8Array,
  { startTagEnd, waypoints }: EditedPlaces,
): Generator<Buffer> {
  const buffer = asBuffer(edited);
  if (edited.length <= WHOLE) {
    yield buffer;
    return;
  }
  const head = buffer.subarray(0, startTagEnd);
  const tail = Buffer.from(`</${document.root.tag}>`);
  for (let i = 0; i < waypoints.length; ) {
    const start = waypoints[i].start;
    let end = start;
    do end = waypoints[i++].end;
    while (i < waypoints.length && waypoints[i].start - end < GAP && end - start < PORTION);
    yield Buffer.concat([head, buffer.subarray(start, end), tail]);
  }
}

/** Checks a text with the strict parser, since the second parser is more forgiving. */
function scanStrictly(text: Buffer, file: string): void {
  const start = markLength(text);
  const scanner = createXmlScanner(start, { open: () => undefined, close: () => undefined });
  try {
    scanAll(scanner, text, start);
  } catch (error) {
    throw new Error(`What would be written is not well-formed: ${(thrownIn(file, error) as Error).message}`);
  }
}
