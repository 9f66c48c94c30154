import { type Diagnostic, inFile, Refusal, thrownIn } from '../../../shared/contract/index.ts';
import { gpxMessages as says } from '../../../shared/text/index.ts';
import { createDocumentReader } from './document-reader.ts';
import { asBuffer, decodeFile, encodeFile, markLength } from './encoding.ts';
import type { GpxDocument } from './gpx-document.ts';
import { withLoneAmpersand } from './malformations.ts';
import type { LedgerEntry } from './match-ledger.ts';
import { recognizePartners } from './partners.ts';
import { repair, withoutErasedTail } from './repair.ts';
import { createXmlScanner, scanAll } from './scan-xml.ts';
import { refuseOtherKind, refuseWhatIsNotXml } from './xml-head.ts';

export interface ReadGpxOptions {
  /**
   * Whether to repair invalid XML and a wrong encoding, cut a tail of NUL or FF bytes, and close or drop an
   * element that is cut off by the end of the file. Each repair gives a warning.
   */
  readonly repair?: boolean;
  /** Boat positions written by earlier runs. */
  readonly given?: readonly LedgerEntry[];
}

/**
 * Reads the waypoints of a GPX file. Routes and tracks are only counted and located.
 *
 * @param file Path as the user gave it, for messages.
 * @throws Refusal when the file cannot be read and written back without loss, with line and column if known.
 */
export function readGpx(bytes: Uint8Array, file: string, options: ReadGpxOptions = {}): GpxDocument {
  const isRepairing = options.repair === true;
  try {
    refuseOtherKind(bytes);
    const whole = withoutErasedTail(bytes, isRepairing);
    const repaired = isRepairing ? repair(whole.bytes) : { bytes: whole.bytes, diagnostics: [] };
    const document = readWhole(repaired.bytes, file, isRepairing, options.given);
    const diagnostics = [...whole.diagnostics, ...repaired.diagnostics, ...document.diagnostics];
    return { ...document, diagnostics: diagnostics.map((each) => inFile(file, each)) };
  } catch (cause) {
    throw thrownIn(file, cause);
  }
}

function readWhole(
  bytes: Uint8Array,
  file: string,
  isRepairing: boolean,
  given?: readonly LedgerEntry[],
): GpxDocument {
  const decoded = decodeFile(bytes);
  const { utf8 } = decoded;
  const start = markLength(utf8);
  refuseWhatIsNotXml(bytes, utf8, start);

  const diagnostics: Diagnostic[] = [...decoded.diagnostics];
  const report = (diagnostic: Diagnostic): void => void diagnostics.push(diagnostic);
  const reader = createDocumentReader(utf8, file, report);
  try {
    scanAll(createXmlScanner(start, reader.visitor), utf8, start);
  } catch (error) {
    const ended = isRepairing && isTruncated(error) ? reader.endedAt() : undefined;
    if (ended === undefined) throw withLoneAmpersand(error, utf8, reader.lastTagEnd());
    const kept = Buffer.concat([utf8.subarray(0, ended.end), Buffer.from(`\n</${ended.tag}>\n`)]);
    const document = readWhole(encodeFile(kept, decoded.encoding), file, false, given);
    const left = utf8.subarray(ended.end);
    const at = { line: ended.line };
    const said = isBlank(left)
      ? says['truncated closed'](at, ended.tag)
      : says['truncated left-out'](at, left.length);
    return { ...document, diagnostics: [...document.diagnostics, said] };
  }
  if (isXml11(utf8, start)) diagnostics.unshift(says['xml-version']({ line: 1 }));
  const found = reader.found();
  const waypoints = recognizePartners(found.waypoints, report, given);
  return { file, bytes, utf8, encoding: decoded.encoding, ...found, waypoints, diagnostics };
}

const isTruncated = (error: unknown): boolean =>
  error instanceof Refusal && error.diagnostics[0].code === 'gpx/truncated';

const isBlank = (utf8: Uint8Array): boolean => utf8.every((byte) => byte <= 0x20);

const isXml11 = (utf8: Uint8Array, start: number): boolean =>
  /^<\?xml\s+version\s*=\s*["']1\.1/.test(asBuffer(utf8).toString('latin1', start, start + 60));
