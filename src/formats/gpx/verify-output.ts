import { FIELDS, type FieldDefinition, thrownIn } from '../../../shared/contract/index.ts';
import { decimalsOf } from '../../../shared/text/index.ts';
import { type Edit, isUndone } from './edits.ts';
import { asBuffer, encodeFile, markLength } from './encoding.ts';
import type { AddedValue, GpxDocument, WaypointAddition } from './gpx-document.ts';
import { createXmlScanner, scanAll } from './scan-xml.ts';
import { parseAgain } from './second-parser.ts';
import type { EditedPlaces } from './split-gpx.ts';

/** Maximum length of a text that is given whole to the second parser, bytes. */
const WHOLE = 1 << 20;
/** Target size of the portions of a longer text, bytes. The whole tree would take most of a run's memory. */
const PORTION = 1 << 19;
/** Least gap between waypoints that divides portions, bytes. Text in a gap, such as a track, is left out. */
const GAP = 4096;

/**
 * Checks values and boat positions before they are written. A value must be finite and have few decimals, a
 * name that XML allows, and a unit if its field has one.
 *
 * @throws Error for a value that fails, which is a defect of the program or of the plugin named in the error.
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
 * Checks that an edited text is well-formed and that taking the edits out gives the input's bytes.
 *
 * @param places Positions of the waypoints in the edited text. The second parser gets no long tracks, since
 * they are the input's own bytes, which the first parser has read.
 * @throws Error when taking out the edits does not restore the input, which is a defect.
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

/** Yields a short text whole. Splits a longer text into documents with the root and some of the waypoints. */
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
  const first = waypoints[0]?.start;
  if (first === undefined) return;
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

/** Runs the strict parser again, since the second parser is more forgiving. */
function scanStrictly(text: Buffer, file: string): void {
  const start = markLength(text);
  const scanner = createXmlScanner(start, { open: () => undefined, close: () => undefined });
  try {
    scanAll(scanner, text, start);
  } catch (error) {
    throw new Error(`What would be written is not well-formed: ${(thrownIn(file, error) as Error).message}`);
  }
}
