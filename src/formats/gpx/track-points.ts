import type { SaxesTagNS } from 'saxes';
import { type Diagnostic, inFile, thrownIn } from '../../../shared/contract/index.ts';
import { parseDepth, parseNumber, parseXmlTime, gpx as says, saysUnit } from '../../../shared/text/index.ts';
import { decodeStream } from './decode-stream.ts';
import { NAMESPACE } from './namespaces.ts';
import { createXmlScanner, type XmlScanner, type XmlVisitor } from './scan-xml.ts';

/** Track points as parallel columns; the first `count` entries of each are filled. */
export interface TrackPointBatch {
  readonly count: number;
  /** deg. */
  readonly lat: Float64Array;
  readonly lon: Float64Array;
  /** Seconds since 1970-01-01 UTC; NaN for a point without a time. */
  readonly time: Float64Array;
  /** m, positive down; NaN for a point without a depth. */
  readonly depth: Float64Array;
  /** 1 where the depth states no unit and is taken as meters. */
  readonly unitless: Uint8Array;
  /** 0-based, counted across all tracks of the file. A new segment is a new pass. */
  readonly segment: Int32Array;
  /** 1-based line on which the point's start tag ends. */
  readonly line: Uint32Array;
}

export interface TrackPointSummary {
  readonly points: number;
  readonly segments: number;
  readonly withDepth: number;
  readonly withTime: number;
  /** Points with an elevation below 0. */
  readonly belowZero: number;
  /** Points left out because their coordinates cannot be used. */
  readonly dropped: number;
  readonly diagnostics: readonly Diagnostic[];
}

/** Rows of a batch. */
const BATCH = 8192;

/**
 * Reads the track points of a GPX file in one pass, in batches.
 *
 * A depth is an element named `depth` in any namespace but ours, anywhere in the point. It is in meters unless its unit
 * attribute or text says otherwise.
 *
 * @param eleIsDepth Whether a point without a depth uses its elevation with the sign changed, in meters as in GPX.
 * @param chunks The file's bytes in order (a read stream or an array).
 * @param onBatch Receives each batch. The arrays are reused after it returns.
 * @throws Refusal as `readGpx` does.
 */
export async function readTrackPoints(
  chunks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
  file: string,
  onBatch: (batch: TrackPointBatch) => void,
  eleIsDepth = false,
): Promise<TrackPointSummary> {
  const reader = createTrackPointReader(onBatch, eleIsDepth);
  const scanner = createXmlScanner(0, reader.visitor);
  try {
    for await (const piece of decodeStream(chunks)) scanner.write(piece);
    scanner.close();
  } catch (cause) {
    throw thrownIn(file, cause);
  }
  const summary = reader.finish();
  return { ...summary, diagnostics: summary.diagnostics.map((each) => inFile(file, each)) };
}

/** Counts each kind of fault in track points and keeps the line of the first. */
function createFaults() {
  const faults = new Map<Fault, { count: number; line: number }>();
  return {
    note(kind: Fault, line: number): void {
      const fault = faults.get(kind);
      if (fault === undefined) faults.set(kind, { count: 1, line });
      else fault.count++;
    },
    count: (kind: Fault): number => faults.get(kind)?.count ?? 0,
    /** Position faults come first, since they decide which points are left out. */
    diagnostics: (): Diagnostic[] =>
      KINDS.flatMap((kind) => {
        const fault = faults.get(kind);
        return fault === undefined ? [] : [FAULTS[kind](fault.count, fault.line)];
      }),
  };
}

const FAULTS = {
  position: says.badTrackPoints,
  depth: says.badTrackDepths,
  time: says.badTrackTimes,
} as const;
type Fault = keyof typeof FAULTS;
const KINDS: readonly Fault[] = ['position', 'depth', 'time'];

const createBatch = () => ({
  lat: new Float64Array(BATCH),
  lon: new Float64Array(BATCH),
  time: new Float64Array(BATCH),
  depth: new Float64Array(BATCH),
  unitless: new Uint8Array(BATCH),
  segment: new Int32Array(BATCH),
  line: new Uint32Array(BATCH),
});

function createTrackPointReader(onBatch: (batch: TrackPointBatch) => void, eleIsDepth: boolean) {
  const batch = createBatch();
  const counts = { points: 0, segments: 0, withDepth: 0, withTime: 0, belowZero: 0 };
  const faults = createFaults();
  let row = 0;
  /** Depth of the open track point among the elements; 0 outside. */
  let pointDepth = 0;
  let isUsable = false;
  let text = '';
  let unit: string | undefined;
  let hasDepth = false;
  const capture = (piece: string): void => {
    text += piece;
  };
  const flush = (): void => {
    if (row > 0) onBatch({ count: row, ...batch });
    row = 0;
  };

  const openPoint = (tag: SaxesTagNS, scanner: XmlScanner): void => {
    pointDepth = scanner.depth;
    const lat = parseNumber(tag.attributes.lat?.value.trim() ?? '');
    const lon = parseNumber(tag.attributes.lon?.value.trim() ?? '');
    isUsable = Math.abs(lat) <= 90 && Math.abs(lon) <= 180;
    hasDepth = false;
    counts.points++;
    if (!isUsable) {
      faults.note('position', scanner.line);
      return;
    }
    batch.lat[row] = lat;
    batch.lon[row] = lon;
    batch.time[row] = Number.NaN;
    batch.depth[row] = Number.NaN;
    batch.unitless[row] = 0;
    batch.segment[row] = Math.max(0, counts.segments - 1);
    batch.line[row] = scanner.line;
  };
  const closeChild = (tag: SaxesTagNS, scanner: XmlScanner): void => {
    if (tag.local === 'time' && scanner.depth === pointDepth + 1) {
      const time = parseXmlTime(text);
      if (Number.isNaN(time)) faults.note('time', scanner.line);
      else counts.withTime++;
      batch.time[row] = time;
    } else if (isDepth(tag) && !hasDepth) {
      const depth = parseDepth(text, unit);
      if (Number.isNaN(depth)) faults.note('depth', scanner.line);
      else counts.withDepth++;
      hasDepth = true;
      batch.depth[row] = depth;
      batch.unitless[row] = saysUnit(text, unit) ? 0 : 1;
    } else if (isElevation(tag, scanner) && !hasDepth) {
      const elevation = parseNumber(text.trim());
      if (elevation < 0) counts.belowZero++;
      if (!eleIsDepth) return;
      if (Number.isNaN(elevation)) faults.note('depth', scanner.line);
      batch.depth[row] = -elevation;
    }
  };
  const isElevation = (tag: SaxesTagNS, scanner: XmlScanner): boolean =>
    tag.local === 'ele' && scanner.depth === pointDepth + 1;
  const isRead = (tag: SaxesTagNS, scanner: XmlScanner): boolean =>
    tag.local === 'time' || isDepth(tag) || isElevation(tag, scanner);
  const visitor: XmlVisitor = {
    open(tag, scanner) {
      if (pointDepth === 0) {
        if (tag.local === 'trkpt') openPoint(tag, scanner);
        else if (tag.local === 'trkseg') counts.segments++;
      } else if (isUsable && isRead(tag, scanner)) {
        text = '';
        unit = tag.local === 'depth' ? unitOf(tag) : undefined;
        scanner.capture(capture);
      }
    },
    close(tag, scanner) {
      if (pointDepth === 0) return;
      if (scanner.depth === pointDepth) {
        pointDepth = 0;
        if (isUsable && ++row === BATCH) flush();
      } else if (isUsable && isRead(tag, scanner)) {
        scanner.capture(undefined);
        closeChild(tag, scanner);
      }
    },
  };
  return {
    visitor,
    finish(): TrackPointSummary {
      flush();
      return { ...counts, dropped: faults.count('position'), diagnostics: faults.diagnostics() };
    },
  };
}

const isDepth = (tag: SaxesTagNS): boolean => tag.local === 'depth' && tag.uri !== NAMESPACE;

function unitOf({ attributes }: SaxesTagNS): string | undefined {
  for (const name in attributes) {
    const { local, value } = attributes[name];
    if (local === 'unit' || local === 'units' || local === 'uom') return value;
  }
  return undefined;
}
