import type { SaxesTagNS } from 'saxes';
import type { Report } from '../../../shared/contract/index.ts';
import { gpxMessages as says } from '../../../shared/text/index.ts';
import type { GpxVersion, RootPlace, Span } from './gpx-document.ts';
import { gpxVersion, isGpxNamespace, isNewerNamespace, NAMESPACE } from './namespaces.ts';
import type { XmlScanner, XmlVisitor } from './scan-xml.ts';
import { createWaypointReader } from './waypoint-reader.ts';

/** Creates a reader whose `visitor` collects the contents of a GPX file, with their positions, in a scan. */
export function createDocumentReader(utf8: Uint8Array, file: string, report: Report) {
  const counts = { routes: 0, tracks: 0, trackPoints: 0 };
  const waypoints = createWaypointReader(utf8, file, report);
  const namespaces = createNamespaceNotes(report);
  const title = createTitleReader();
  let root: RootPlace | undefined;
  let version: GpxVersion = '1.1';
  const lines: Span[] = [];
  /** Start of the open route or track; undefined between routes and tracks. */
  let lineStart: number | undefined;
  let lastTagEnd = 0;
  /** End and line of the last complete child of the root; at first of the root's start tag. */
  let whole = { end: 0, line: 1 };
  const startOfTag = (): number => utf8.lastIndexOf(0x3c, lastTagEnd - 1);

  const openRoot = ({ name, uri, ns, isSelfClosing, attributes }: SaxesTagNS, line: number): void => {
    const end = lastTagEnd;
    const stated = attributes.version?.value.trim();
    version = gpxVersion(uri, stated);
    if (!isGpxNamespace(uri)) report(says.namespace({ line }, uri));
    if (stated !== undefined && stated !== '1.0' && stated !== '1.1') report(says.version({ line }, stated));
    whole = { end, line };
    root = {
      ...{ start: startOfTag(), end, startTagEnd: end, endTagStart: end },
      ...{ tag: name, uri, isSelfClosing },
      namespaces: { ...ns },
      prefixes: namespaces.prefixes,
    };
  };
  const visitor: XmlVisitor = {
    open(tag, scanner) {
      lastTagEnd = scanner.offset();
      namespaces.note(tag, scanner.line, lastTagEnd);
      const { depth } = scanner;
      if (depth === 1) openRoot(tag, scanner.line);
      else if (waypoints.isInside()) waypoints.open(tag, scanner);
      else if (tag.local === 'trkpt') counts.trackPoints++;
      else if (depth <= 3 && tag.uri === root?.uri) {
        title.open(tag, scanner);
        if (depth === 3) return;
        if (tag.local === 'wpt') waypoints.open(tag, scanner);
        else if (tag.local === 'trk' || tag.local === 'rte') {
          counts[tag.local === 'trk' ? 'tracks' : 'routes']++;
          lineStart = startOfTag();
        }
      }
    },
    close(tag, scanner) {
      lastTagEnd = scanner.offset();
      title.close(scanner);
      if (scanner.depth === 2) {
        whole = { end: lastTagEnd, line: scanner.line };
        if (lineStart !== undefined) lines.push({ start: lineStart, end: lastTagEnd });
        lineStart = undefined;
      }
      if (waypoints.isInside()) waypoints.close(tag, scanner);
      else if (scanner.depth === 1 && root !== undefined)
        root = { ...root, end: lastTagEnd, endTagStart: root.isSelfClosing ? lastTagEnd : startOfTag() };
    },
  };
  return {
    visitor,
    lastTagEnd: () => lastTagEnd,
    /** Returns where the intact part of a cut file ends, and the root's tag; undefined before the root. */
    endedAt: () => root && { ...whole, tag: root.tag },
    found: () => {
      if (root === undefined) throw new Error('The scanner accepted a text without a root element.');
      const { ours } = namespaces;
      return { root, version, title: title.found(), counts, ours, lines, waypoints: waypoints.found };
    },
  };
}

/** Creates a reader of the file's title: the first `name` in the root (GPX 1.0) or the metadata (GPX 1.1). */
function createTitleReader() {
  let isInMetadata = false;
  let isReading = false;
  let text: string | undefined;
  return {
    found: (): string | undefined => text?.replace(/\s+/g, ' ').trim() || undefined,
    open(tag: SaxesTagNS, scanner: XmlScanner): void {
      if (scanner.depth === 2) isInMetadata = tag.local === 'metadata';
      const isHere = scanner.depth === 2 || (scanner.depth === 3 && isInMetadata);
      if (!isHere || tag.local !== 'name' || text !== undefined) return;
      isReading = true;
      text = '';
      scanner.capture((piece) => {
        text += piece;
      });
    },
    close(scanner: XmlScanner): void {
      if (isReading) scanner.capture(undefined);
      isReading = false;
    },
  };
}

/** Creates a collector of the namespaces of all prefixes, and of the tags that use our namespace. */
function createNamespaceNotes(report: Report) {
  const prefixes = new Map<string, Set<string>>();
  const ours: number[] = [];
  let isOursDeclared = false;
  let isNewerReported = false;
  const declare = (prefix: string, uri: string, line: number): void => {
    const uris = prefixes.get(prefix);
    if (uris === undefined) prefixes.set(prefix, new Set([uri]));
    else uris.add(uri);
    if (uri === NAMESPACE) isOursDeclared = true;
    if (isNewerReported || !isNewerNamespace(uri)) return;
    isNewerReported = true;
    report(says.newer({ line }, uri));
  };
  return {
    prefixes,
    ours,
    note(tag: SaxesTagNS, line: number, end: number): void {
      for (const prefix in tag.ns) declare(prefix, tag.ns[prefix], line);
      if (!isOursDeclared) return;
      if (tag.uri === NAMESPACE) ours.push(end);
      for (const name in tag.attributes) if (tag.attributes[name].uri === NAMESPACE) ours.push(end);
    },
  };
}
