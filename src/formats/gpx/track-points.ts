import type { SaxesTagNS } from 'saxes';
import { type Diagnostic, inFile, thrownIn } from '../../../shared/contract/index.ts';
import {
  parseDepth,
  parseNumber,
  parseXmlTime,
  gpxMessages as says,
  saysUnit,
} from '../../../shared/text/index.ts';
import { decodeStream } from './decode-stream.ts';
import { NAMESPACE } from './namespaces.ts';
import { createXmlScanner, type XmlScanner, type XmlVisitor } from './scan-xml.ts';

export interface TrackPoint {
  /** Latitude, deg, WGS 84. */
  readonly lat: number;
  /** Longitude, deg, WGS 84. */
  readonly lon: number;
  /** Seconds since 1970-01-01 UTC; NaN for a point without a readable time. */
  time: number;
  /** Depth, m, positive down; NaN for a point without a readable depth. */
  depth: number;
  /** Text that gave the depth, for messages. */
  written: string;
  /** True when the depth is an elevation with the sign changed. */
  isElevation: boolean;
  /** True when the depth states no unit: `depth` is read as meters, and the caller converts it. */
  isUnitless: boolean;
  /** Number of the segment, 0-based across all tracks of the file. */
  readonly segment: number;
  /** 1-based line on which the point's start tag ends. */
  readonly line: number;
}

export interface TrackPointSummary {
  readonly points: number;
  /** Number of points with an elevation below 0 and no depth before the elevation. */
  readonly belowZero: number;
  /** Number of points left out because their coordinates cannot be used. */
  readonly dropped: number;
  /** Faults of points, one message per kind. A fault of positions, which `dropped` counts, comes first. */
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Reads the track points of a GPX file, piece by piece.
 *
 * The depth of a point is its first element named `depth` in any namespace but ours. It is in meters unless
 * its unit attribute or text says otherwise.
 *
 * @param chunks The file's bytes in order (a read stream or an array).
 * @param eleIsDepth Whether a point without a depth uses its elevation (m) with the sign changed.
 * @throws Refusal for a file that cannot be decoded or is not well-formed GPX, with line and column if known.
 */
export async function* readTrackPoints(
  chunks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
  file: string,
  eleIsDepth = false,
): AsyncGenerator<readonly TrackPoint[], TrackPointSummary> {
  const reader = createTrackPointReader(eleIsDepth);
  const scanner = createXmlScanner(0, reader.visitor);
  try {
    for await (const piece of decodeStream(chunks)) {
      scanner.write(piece);
      yield reader.take();
    }
    scanner.close();
  } catch (cause) {
    throw thrownIn(file, cause);
  }
  const summary = reader.finish();
  return { ...summary, diagnostics: summary.diagnostics.map((each) => inFile(file, each)) };
}

function createTrackPointReader(eleIsDepth: boolean) {
  let found: TrackPoint[] = [];
  const counts = { points: 0, belowZero: 0 };
  const faults = {
    position: { count: 0, line: 0 },
    depth: { count: 0, line: 0 },
    time: { count: 0, line: 0 },
  };
  let segments = 0;
  /** Nesting depth of the open track point's element; 0 when none is open. */
  let pointDepth = 0;
  /** The open track point if its position can be used. */
  let point: TrackPoint | undefined;
  let hasDepth = false;
  let text = '';
  let unit: string | undefined;
  const capture = (piece: string): void => {
    text += piece;
  };
  const fault = (kind: keyof typeof faults, line: number): void => {
    if (faults[kind].count++ === 0) faults[kind].line = line;
  };

  const openPoint = ({ attributes }: SaxesTagNS, { depth, line }: XmlScanner): void => {
    pointDepth = depth;
    hasDepth = false;
    counts.points++;
    const lat = parseNumber(attributes.lat?.value.trim() ?? '');
    const lon = parseNumber(attributes.lon?.value.trim() ?? '');
    const isUsable = Math.abs(lat) <= 90 && Math.abs(lon) <= 180;
    if (!isUsable) fault('position', line);
    const segment = Math.max(0, segments - 1);
    point = isUsable
      ? {
          ...{ lat, lon, time: Number.NaN, depth: Number.NaN, written: '' },
          ...{ isElevation: false, isUnitless: false, segment, line },
        }
      : undefined;
  };
  const closeChild = (tag: SaxesTagNS, { line }: XmlScanner, point: TrackPoint): void => {
    if (tag.local === 'time') {
      point.time = parseXmlTime(text);
      if (Number.isNaN(point.time)) fault('time', line);
    } else if (hasDepth) return;
    else if (tag.local === 'depth') {
      hasDepth = true;
      point.depth = parseDepth(text, unit);
      point.written = text.trim();
      point.isElevation = false;
      point.isUnitless = !saysUnit(text, unit);
      if (Number.isNaN(point.depth)) fault('depth', line);
    } else {
      const elevation = parseNumber(text.trim());
      if (elevation < 0) counts.belowZero++;
      if (!eleIsDepth) return;
      point.depth = -elevation;
      point.written = text.trim();
      point.isElevation = true;
      if (Number.isNaN(elevation)) fault('depth', line);
    }
  };
  const isRead = ({ local, uri }: SaxesTagNS, { depth }: XmlScanner): boolean =>
    local === 'depth' ? uri !== NAMESPACE : (local === 'time' || local === 'ele') && depth === pointDepth + 1;
  const visitor: XmlVisitor = {
    open(tag, scanner) {
      if (pointDepth === 0) {
        if (tag.local === 'trkpt') openPoint(tag, scanner);
        else if (tag.local === 'trkseg') segments++;
      } else if (point !== undefined && isRead(tag, scanner)) {
        text = '';
        unit = tag.local === 'depth' ? unitOf(tag) : undefined;
        scanner.capture(capture);
      }
    },
    close(tag, scanner) {
      if (pointDepth === 0) return;
      if (scanner.depth === pointDepth) {
        pointDepth = 0;
        if (point !== undefined) found.push(point);
      } else if (point !== undefined && isRead(tag, scanner)) {
        scanner.capture(undefined);
        closeChild(tag, scanner, point);
      }
    },
  };
  return {
    visitor,
    take(): readonly TrackPoint[] {
      const taken = found;
      found = [];
      return taken;
    },
    finish(): TrackPointSummary {
      const { position, depth, time } = faults;
      const diagnostics = [
        says['track-point']({ line: position.line }, position.count),
        says['track-depth']({ line: depth.line }, depth.count),
        says['track-time']({ line: time.line }, time.count),
      ].filter(({ count }) => count !== 0);
      return { ...counts, dropped: position.count, diagnostics };
    },
  };
}

function unitOf({ attributes }: SaxesTagNS): string | undefined {
  for (const name in attributes) {
    const { local, value } = attributes[name];
    if (local === 'unit' || local === 'units' || local === 'uom') return value;
  }
  return undefined;
}
