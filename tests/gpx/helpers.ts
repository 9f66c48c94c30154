import { Refusal } from '../../shared/contract/diagnostic.ts';
import { enrichGpx } from '../../src/formats/gpx/enrich-gpx.ts';
import type { EnrichedGpx, GpxDocument, WaypointAddition } from '../../src/formats/gpx/gpx-document.ts';
import type { GpxOutputOptions } from '../../src/formats/gpx/output-options.ts';
import { type ReadGpxOptions, readGpx } from '../../src/formats/gpx/read-gpx.ts';

export const NO_LIMITS: GpxOutputOptions = {
  plain: false,
  ascii: false,
  capitals: false,
  textIn: 'cmt',
  maxName: undefined,
  maxWaypoints: undefined,
  maxText: undefined,
  downslopeSymbol: undefined,
  upslopeSymbol: undefined,
  symbols: undefined,
};

export const GPX_11 = 'http://www.topografix.com/GPX/1/1';
export const GPX_10 = 'http://www.topografix.com/GPX/1/0';

/** Returns a GPX 1.1 file with this content. */
export const gpx11 = (inside: string, root = ''): string =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<gpx xmlns="${GPX_11}" version="1.1" creator="test"${root}>\n${inside}</gpx>\n`;

export const gpx10 = (inside: string): string =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<gpx xmlns="${GPX_10}" version="1.0" creator="test">\n${inside}</gpx>\n`;

/** A GPX 1.1 file with three waypoints of an invented lake. */
export const MARKS = gpx11(
  '  <wpt lat="45.1" lon="-93.2">\n    <ele>281.2</ele>\n    <name>Long ledge south</name>\n    <cmt>fish 14-19 ft</cmt>\n    <sym>Flag</sym>\n  </wpt>\n' +
    '  <wpt lat="45.11" lon="-93.21">\n    <name>Old hump</name>\n  </wpt>\n' +
    '  <wpt lat="45.12" lon="-93.22"><name>Ditch &amp; bend</name></wpt>\n',
);

export const read = (content: string | Uint8Array, options?: ReadGpxOptions): GpxDocument =>
  readGpx(typeof content === 'string' ? Buffer.from(content) : content, 'marks.gpx', options);

export const text = (bytes: Uint8Array): string => Buffer.from(bytes).toString('utf8');

/** Returns code, line and column of the first message that refuses a file. @throws If the file is accepted. */
export function refusal(content: string | Uint8Array, options?: ReadGpxOptions): string {
  try {
    read(content, options);
  } catch (error) {
    if (error instanceof Refusal) {
      const [{ code, place }] = error.diagnostics;
      return [code, place?.line, place?.column].filter((part) => part !== undefined).join(' ');
    }
    throw error;
  }
  throw new Error('The file was accepted.');
}

export const warnings = (document: GpxDocument): string[] => document.diagnostics.map(({ code }) => code);

/** Returns additions as a run makes them: values, summary and two boat positions of each usable waypoint. */
export function additionsFor(document: GpxDocument): WaypointAddition[] {
  return document.waypoints
    .filter(({ canEnrich, partner }) => canEnrich && partner === undefined)
    .map(({ fileIndex, lat, lon }) => ({
      fileIndex,
      values: [
        { name: 'status', value: 'ok' },
        { name: 'depth', value: '4.27', unit: 'm' },
        { name: 'slope', value: '8.5', unit: 'deg' },
        { name: 'structure', value: 'ledge' },
        { name: 'soundings', value: '412', unit: 'count' },
        { name: 'downslope_lat', value: '45.1000001', unit: 'deg' },
      ],
      comment: 'Ledge 71%, 14ft, slope 8deg to 214M; fish 14-19ft',
      partners: [
        {
          suffix: 'D',
          lat: Math.max(-90, lat - 0.0003),
          lon,
          comment: 'Boat 25ft, cast 34M 48yd to 9ft, 18ft diver, on bottom 11-19ft',
          values: [],
        },
        {
          suffix: 'U',
          lat: Math.min(90, lat + 0.0003),
          lon: lon + 0.0001,
          comment: 'Boat 8ft, cast 214M 48yd to 24ft, 18ft diver, on bottom 9-17ft',
          values: [{ name: 'upslope_depth', value: '2.44', unit: 'm' }],
        },
      ],
    }));
}

export const enrich = (document: GpxDocument, options: Partial<GpxOutputOptions> = {}): EnrichedGpx =>
  enrichGpx(document, additionsFor(document), { ...NO_LIMITS, ...options });

/** Returns the bytes of an enriched file. */
export const enrichedBytes = (
  content: string | Uint8Array,
  options: Partial<GpxOutputOptions> = {},
): Uint8Array => enrich(read(content), options).parts[0].bytes;

export const enriched = (content: string | Uint8Array, options: Partial<GpxOutputOptions> = {}): string =>
  text(enrichedBytes(content, options));

/** Returns the bytes of an enriched file without its additions. */
export const stripped = (content: string | Uint8Array): Uint8Array =>
  enrichGpx(read(content), [], NO_LIMITS).parts[0].bytes;
