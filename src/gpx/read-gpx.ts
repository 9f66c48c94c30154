import type { SaxesTagNS } from 'saxes';
import { type Diagnostic, Refusal } from '../../shared/diagnostics/diagnostic.ts';
import * as says from '../../shared/diagnostics/gpx.ts';
import { decodeFile, encodeFile } from './encoding.ts';
import type { GpxDocument, RootPlace, Span } from './gpx-document.ts';
import { withLoneAmpersand } from './lone-ampersand.ts';
import { gpxVersion, isGpxNamespace, isNewerOurs, OURS } from './namespaces.ts';
import { recognizePartners } from './partners.ts';
import { salvage } from './salvage.ts';
import { createXmlScanner, scanAll, type XmlScanner, type XmlVisitor } from './scan-xml.ts';
import { createWaypointReader } from './waypoint-reader.ts';
import { refuseOtherKind, refuseWhatIsNotXml } from './xml-head.ts';

export interface ReadGpxOptions {
  /** Cuts a tail of NUL or FF bytes, and an element that the file ends inside of, with a warning. */
  readonly salvage?: boolean;
}

/**
 * Reads a GPX file in one pass; of tracks and routes only the count is kept.
 *
 * @param file Path as the person gave it, for messages.
 * @throws Refusal with file, line and column when the file cannot be read and written back without loss.
 */
export function readGpx(bytes: Uint8Array, file: string, options: ReadGpxOptions = {}): GpxDocument {
  refuseOtherKind(bytes, file);
  const whole = salvage(bytes, file, options.salvage === true);
  const document = readWhole(whole.bytes, file, options.salvage === true);
  return { ...document, diagnostics: [...whole.diagnostics, ...document.diagnostics] };
}

function readWhole(bytes: Uint8Array, file: string, isSalvaging: boolean): GpxDocument {
  const decoded = decodeFile(bytes, file);
  const { utf8 } = decoded;
  const start = utf8[0] === 0xef && utf8[1] === 0xbb && utf8[2] === 0xbf ? 3 : 0;
  refuseWhatIsNotXml(bytes, utf8, start, file);

  const diagnostics: Diagnostic[] = [...decoded.diagnostics];
  const report = (diagnostic: Diagnostic): void => void diagnostics.push(diagnostic);
  const reader = createDocumentReader(utf8, file, report);
  try {
    scanAll(createXmlScanner(file, start, reader.visitor), utf8, start);
  } catch (error) {
    const ended = isSalvaging && isTruncated(error) ? reader.endedAt() : undefined;
    if (ended === undefined) throw withLoneAmpersand(error, utf8, reader.lastTagEnd(), file);
    const kept = Buffer.concat([utf8.subarray(0, ended.end), Buffer.from(`\n</${ended.tag}>\n`)]);
    const document = readWhole(encodeFile(kept, decoded.encoding), file, false);
    const left = says.endLeftOut(file, ended.line, utf8.length - ended.end);
    return { ...document, diagnostics: [...document.diagnostics, left] };
  }
  if (reader.isXml11(start)) diagnostics.unshift(says.oldXmlVersion(file));
  const found = reader.found();
  const waypoints = recognizePartners(found.waypoints, report);
  return { file, bytes, utf8, encoding: decoded.encoding, ...found, waypoints, diagnostics };
}

const isTruncated = (error: unknown): boolean =>
  error instanceof Refusal && error.diagnostics[0].code === 'gpx/truncated';

/** Collects the root's place, the waypoints and the counts while the text is scanned. */
function createDocumentReader(utf8: Uint8Array, file: string, report: (diagnostic: Diagnostic) => void) {
  const prefixes = new Map<string, Set<string>>();
  const counts = { routes: 0, tracks: 0, trackPoints: 0, ours: 0 };
  const waypoints = createWaypointReader(utf8, file, report);
  let root: RootPlace | undefined;
  const lines: Span[] = [];
  let lineStart: number | undefined;
  let lastTagEnd = 0;
  /** End of the last whole child of the root, and its line. */
  let whole = { end: 0, line: 1 };
  let version: GpxDocument['version'] = '1.1';
  let isNewerReported = false;
  /** True once our namespace was declared. */
  let hasOurs = false;

  const countOurs = (tag: SaxesTagNS): void => {
    if (tag.uri === OURS) counts.ours++;
    for (const name in tag.attributes) if (tag.attributes[name].uri === OURS) counts.ours++;
  };
  const notePrefixes = (tag: SaxesTagNS, line: number): void => {
    for (const prefix in tag.ns) {
      const uris = prefixes.get(prefix);
      if (uris === undefined) prefixes.set(prefix, new Set([tag.ns[prefix]]));
      else uris.add(tag.ns[prefix]);
      if (tag.ns[prefix] === OURS) hasOurs = true;
      if (!isNewerReported && isNewerOurs(tag.ns[prefix])) {
        isNewerReported = true;
        report(says.newerAdditions(file, line, tag.ns[prefix]));
      }
    }
  };
  const openRoot = (tag: SaxesTagNS, scanner: XmlScanner): void => {
    const end = scanner.offset();
    const start = utf8.lastIndexOf(0x3c, end - 1);
    version = gpxVersion(tag.uri, tag.attributes.version?.value);
    if (!isGpxNamespace(tag.uri)) report(says.otherNamespace(file, scanner.line, tag.uri));
    const stated = tag.attributes.version?.value.trim();
    if (stated !== undefined && stated !== '1.0' && stated !== '1.1')
      report(says.wrongVersion(file, scanner.line, stated));
    whole = { end, line: scanner.line };
    root = {
      start,
      end,
      startTagEnd: end,
      endTagStart: end,
      tag: tag.name,
      uri: tag.uri,
      isSelfClosing: tag.isSelfClosing,
      namespaces: { ...tag.ns },
      prefixes,
    };
  };
  const visitor: XmlVisitor = {
    open(tag, scanner) {
      lastTagEnd = scanner.offset();
      notePrefixes(tag, scanner.line);
      if (hasOurs) countOurs(tag);
      if (scanner.depth === 1) openRoot(tag, scanner);
      else if (waypoints.isInside()) waypoints.open(tag, scanner);
      else if (tag.local === 'trkpt') counts.trackPoints++;
      else if (scanner.depth === 2 && tag.uri === root?.uri) {
        if (tag.local === 'wpt') waypoints.open(tag, scanner);
        else if (tag.local === 'trk' || tag.local === 'rte') {
          counts[tag.local === 'trk' ? 'tracks' : 'routes']++;
          lineStart = utf8.lastIndexOf(0x3c, lastTagEnd - 1);
        }
      }
    },
    close(tag, scanner) {
      lastTagEnd = scanner.offset();
      if (scanner.depth === 2) {
        whole = { end: lastTagEnd, line: scanner.line };
        if (lineStart !== undefined) lines.push({ start: lineStart, end: lastTagEnd });
        lineStart = undefined;
      }
      if (waypoints.isInside()) waypoints.close(tag, scanner);
      else if (scanner.depth === 1 && root !== undefined) {
        const end = scanner.offset();
        root = { ...root, end, endTagStart: root.isSelfClosing ? end : utf8.lastIndexOf(0x3c, end - 1) };
      }
    },
  };
  return {
    visitor,
    lastTagEnd: () => lastTagEnd,
    /** Where what is whole ends, in a file that ends too early; undefined when nothing is. */
    endedAt: () => (root === undefined ? undefined : { ...whole, tag: root.tag }),
    /** True when the declaration says XML 1.1. */
    isXml11: (start: number): boolean =>
      /^<\?xml\s+version\s*=\s*["']1\.1/.test(
        Buffer.from(utf8.subarray(start, start + 60)).toString('latin1'),
      ),
    found: () => {
      if (root === undefined) throw new Error('The scanner accepted a text without a root element.');
      return { root, version, counts, lines, waypoints: waypoints.found };
    },
  };
}
