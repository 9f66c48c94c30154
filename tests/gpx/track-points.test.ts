import iconv from 'iconv-lite';
import { describe, expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import { readTrackPoints, type TrackPointSummary } from '../../src/formats/gpx/track-points.ts';
import { GPX_11, gpx11 } from './helpers.ts';

interface Row {
  readonly lat: number;
  readonly lon: number;
  readonly time: number;
  readonly depth: number;
  readonly segment: number;
  readonly line: number;
}

/** Reads all rows of a file in pieces of `size` bytes, and the summary. */
async function readRows(
  content: string | Uint8Array,
  size = 1 << 16,
): Promise<{ rows: Row[]; summary: TrackPointSummary }> {
  const bytes = typeof content === 'string' ? Buffer.from(content) : content;
  const chunks: Uint8Array[] = [];
  for (let at = 0; at < bytes.length; at += size) chunks.push(bytes.subarray(at, at + size));
  const rows: Row[] = [];
  const reading = readTrackPoints(chunks, 'track.gpx');
  let next = await reading.next();
  for (; !next.done; next = await reading.next())
    rows.push(...next.value.map(({ isUnitless: _, isElevation: __, written: ___, ...row }) => row));
  const summary = next.value;
  return { rows, summary };
}

const track = (points: string): string => gpx11(`<trk><trkseg>\n${points}\n</trkseg></trk>\n`);
const depthOf = async (inside: string): Promise<number> =>
  (await readRows(track(`<trkpt lat="1" lon="2">${inside}</trkpt>`))).rows[0].depth;

test('position, time, depth, segment and line of every point are read, however the bytes are split', async () => {
  const content = gpx11(
    '<wpt lat="9" lon="9"/>\n<trk><name>Bjørn 🎣</name><trkseg>\n<trkpt lat="45.1" lon="-93.2"><ele>281</ele><time>2025-07-04T12:30:00Z</time><extensions><x:depth xmlns:x="urn:x">4.25</x:depth></extensions></trkpt>\n<trkpt lat="45.2" lon="-93.3"/>\n</trkseg><trkseg>\n<trkpt lon="-93.4" lat="45.3"><time>2025-07-04T14:30:00.5+02:00</time></trkpt></trkseg></trk>\n',
  );
  const noon = Date.UTC(2025, 6, 4, 12, 30) / 1000;
  for (const size of [1, 7, 64, 1 << 16]) {
    const { rows, summary } = await readRows(content, size);
    expect(rows).toEqual([
      { lat: 45.1, lon: -93.2, time: noon, depth: 4.25, segment: 0, line: 5 },
      { lat: 45.2, lon: -93.3, time: Number.NaN, depth: Number.NaN, segment: 0, line: 6 },
      { lat: 45.3, lon: -93.4, time: noon + 0.5, depth: Number.NaN, segment: 1, line: 8 },
    ]);
    expect(summary).toMatchObject({ points: 3, dropped: 0, diagnostics: [] });
  }
});

describe('depths', () => {
  test('in any namespace or none, at any level, are in meters unless they say otherwise', async () => {
    expect(await depthOf('<depth>3.5</depth>')).toBe(3.5);
    expect(
      await depthOf('<extensions><a:b xmlns:a="urn:a"><a:depth> 3.5 </a:depth></a:b></extensions>'),
    ).toBe(3.5);
    expect(
      await depthOf('<extensions><a:depth xmlns:a="urn:a" unit="ft">10</a:depth></extensions>'),
    ).toBeCloseTo(3.048, 12);
    expect(
      await depthOf('<extensions><a:depth xmlns:a="urn:a" uom="fathoms">2</a:depth></extensions>'),
    ).toBeCloseTo(3.6576, 12);
    expect(await depthOf('<depth>10 ft</depth>')).toBeCloseTo(3.048, 12);
    expect(await depthOf('<depth>-1.2</depth>')).toBe(-1.2);
  });
  test('that are not numbers or have an unknown unit are left out and counted', async () => {
    const { rows, summary } = await readRows(
      track(
        '<trkpt lat="1" lon="2"><depth>deep</depth></trkpt><trkpt lat="1" lon="2"><depth unit="hands">3</depth></trkpt><trkpt lat="1" lon="2"><depth>3,5</depth></trkpt>',
      ),
    );
    expect(rows.every(({ depth }) => Number.isNaN(depth))).toBe(true);
    expect(summary.diagnostics).toMatchObject([{ code: 'gpx/track-depth', count: 3, place: { line: 4 } }]);
  });
  test('in elements that this program added are not soundings', async () => {
    expect(
      await depthOf('<extensions><d:depth xmlns:d="urn:downslope:gpx:1">3</d:depth></extensions>'),
    ).toBeNaN();
  });
});

test('points with unusable coordinates are left out and counted', async () => {
  const { rows, summary } = await readRows(
    track(
      '<trkpt lat="59,5" lon="2"><depth>1</depth></trkpt><trkpt lat="91" lon="2"/><trkpt lon="2"/><trkpt lat="1" lon="2"/>',
    ),
  );
  expect(rows).toHaveLength(1);
  expect(summary).toMatchObject({ points: 4, dropped: 3 });
  expect(summary.diagnostics).toMatchObject([{ code: 'gpx/track-point', count: 3 }]);
});

test('more points than fit in one piece of the file arrive complete and in order', async () => {
  const points = Array.from(
    { length: 20_000 },
    (_, i) => `<trkpt lat="${(i / 1000).toFixed(3)}" lon="2"/>`,
  ).join('\n');
  const { rows } = await readRows(track(points));
  expect(rows).toHaveLength(20_000);
  expect(rows.every(({ lat }, i) => Math.abs(lat - i / 1000) < 1e-9)).toBe(true);
});

test.each(['utf-16le', 'utf-16be', 'windows-1251', 'shift_jis'])(
  'a track in %s is read',
  async (encoding) => {
    const word = encoding === 'shift_jis' ? '岬' : 'Мыс';
    const content = `<?xml version="1.0" encoding="${encoding.startsWith('utf') ? 'utf-16' : encoding}"?><gpx xmlns="${GPX_11}" version="1.1" creator="t"><trk><name>${word}</name><trkseg><trkpt lat="1" lon="2"/></trkseg></trk></gpx>`;
    const { rows } = await readRows(iconv.encode(content, encoding, { addBOM: false }), 13);
    expect(rows).toHaveLength(1);
  },
);

test('hostile and broken files are refused with their line, like waypoint files', async () => {
  const refused = async (content: string | Uint8Array): Promise<string> =>
    readRows(content, 100).then(
      () => 'accepted',
      (error: unknown) =>
        error instanceof Refusal
          ? `${error.diagnostics[0].code} ${error.diagnostics[0].place?.line}`
          : String(error),
    );
  expect(await refused('')).toBe('gpx/empty undefined');
  expect(await refused('<!DOCTYPE gpx [<!ENTITY a "b">]><gpx/>')).toBe('gpx/doctype 1');
  expect(await refused(`<!--${'x'.repeat(70_000)}--><!DOCTYPE gpx><gpx/>`)).toBe('gpx/doctype 1');
  expect(await refused(track('<trkpt lat="1" lon="2">').replace('</trkseg>', ''))).toMatch(
    /^gpx\/(xml|truncated)/,
  );
  expect(await refused(track('').slice(0, -20))).toBe('gpx/truncated 5');
  expect(await refused(Buffer.from(track('<!-- Bjørn -->'), 'latin1'))).toBe('gpx/encoding 4');
  expect(await refused(Buffer.concat([Buffer.from(track('')), Buffer.alloc(64)]))).toMatch(/^gpx\/xml/);
  expect(await refused(track('').replace('<trkseg>', '<name>A & B</name><trkseg>'))).toBe('gpx/xml 3');
  expect(await refused('<html/>')).toBe('gpx/not-gpx undefined');
});
