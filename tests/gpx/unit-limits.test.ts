import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import { enrichGpx } from '../../src/formats/gpx/enrich-gpx.ts';
import { createNameAllocator } from '../../src/formats/gpx/names.ts';
import { enrich, enriched, gpx11, MARKS, NO_LIMITS, read, stripped, text } from './helpers.ts';

const namesOf = (content: string): string[] =>
  read(content).waypoints.map(({ place }) => {
    const name = place.children.find(({ local }) => local === 'name');
    return name?.text ?? '';
  });
const fold = (name: string): string => name.trim().toLowerCase();
const codes = (content: string, options = {}): string[] => {
  const { diagnostics, limits } = enrich(read(content), options);
  return [...diagnostics, ...limits].map(({ code }) => code);
};

const LONG = gpx11(
  '<wpt lat="45.10" lon="-93"><name>Long ledge south</name></wpt>\n<wpt lat="45.11" lon="-93"><name>Long ledge north</name></wpt>\n<wpt lat="45.12" lon="-93"><name>Bjørn’s größte Stelle</name></wpt>\n<wpt lat="45.13" lon="-93"><name>Hump</name></wpt>\n<wpt lat="45.14" lon="-93"><name>HUMP</name></wpt>\n',
);

describe('--max-name', () => {
  test('names are cut to unique ones, and boat positions keep their suffix', () => {
    const names = namesOf(enriched(LONG, { maxName: 10 }));
    expect(names).toHaveLength(15);
    for (const name of names) expect(Array.from(name).length).toBeLessThanOrEqual(10);
    expect(new Set(names.map(fold)).size).toBe(15);
    expect(names.slice(0, 4)).toEqual(['Long ledge', 'Long led D', 'Long led U', 'Long ledg2']);
    expect(names.filter((name) => /[DU]$/.test(name))).toHaveLength(10);
  });
  test('the original names are kept in our element and restored', () => {
    const once = enriched(LONG, { maxName: 10 });
    expect(once).toContain('<ds:name as="Long ledg2">Long ledge north</ds:name>');
    expect(enriched(once, { maxName: 10 })).toBe(once);
    expect(enriched(once)).toBe(enriched(LONG));
    expect(text(stripped(once))).toBe(LONG);
    expect(read(once).waypoints[3].name).toBe('Long ledge north');
  });
  test('names in CDATA and with entities are restored as they were written', () => {
    const content = gpx11(
      '<wpt lat="1" lon="2"><name><![CDATA[Rocks & weeds <deep>]]></name></wpt><wpt lat="2" lon="2"><name>Rocks &#38; weeds</name></wpt>',
    );
    const once = enriched(content, { maxName: 8 });
    expect(text(stripped(once))).toBe(content);
    expect(enriched(once, { maxName: 8 })).toBe(once);
  });
  test('a name changed on the chartplotter replaces the original', () => {
    const once = enriched(LONG, { maxName: 10 }).replace('<name>Long ledg2</name>', '<name>Rock</name>');
    expect(read(once).waypoints[3].name).toBe('Rock');
    const again = enriched(once, { maxName: 10 });
    expect(namesOf(again)).toContain('Rock D');
    expect(again).not.toContain('Long ledge north');
  });
  test('plain files stay the same in a second run, and the loss of the originals is reported', () => {
    const once = enriched(LONG, { maxName: 10, plain: true });
    expect(enriched(once, { maxName: 10, plain: true })).toBe(once);
    expect(codes(LONG, { maxName: 10, plain: true })).toContain('gpx/names-changed');
  });
  test('any names are made to fit and to differ', () => {
    fc.assert(
      fc.property(
        fc.array(fc.string({ unit: 'grapheme', maxLength: 14 }), { maxLength: 40 }),
        fc.integer({ min: 4, max: 12 }),
        fc.boolean(),
        (names, maxName, ascii) => {
          const giver = createNameAllocator(names, { maxName, ascii, capitals: false });
          const own = names.map((name) => giver.waypoint(name));
          const all = [
            ...own,
            ...own.flatMap((name) => [giver.partner(name, 'D'), giver.partner(name, 'U')]),
          ];
          for (const name of all) expect(Array.from(name).length).toBeLessThanOrEqual(maxName);
          if (ascii) for (const name of all) expect(name).toMatch(/^[ -~]*$/);
          expect(new Set(all.map(fold)).size).toBe(all.length);
        },
      ),
      { numRuns: 300 },
    );
  });
});

test('--ascii writes names in plain ASCII and keeps the originals', () => {
  const once = enriched(LONG, { ascii: true });
  expect(namesOf(once)).toContain("Bjorn's grosste Stelle");
  expect(namesOf(once)).toContain("Bjorn's grosste Stelle D");
  expect(once).toContain('>Bjørn’s größte Stelle</ds:name>');
  expect(text(stripped(once))).toBe(LONG);
  expect(enriched(once, { ascii: true })).toBe(once);
});

describe('--max-text', () => {
  test('text that we add is shortened, and text of the user is not', () => {
    const content = gpx11(
      `<wpt lat="1" lon="2"><name>a</name><cmt>short</cmt></wpt><wpt lat="2" lon="2"><name>b</name><cmt>${'long '.repeat(20)}</cmt></wpt>`,
    );
    const result = read(enriched(content, { maxText: 40 }));
    const comments = result.waypoints.map(
      ({ place }) => place.children.find(({ local }) => local === 'cmt')?.text ?? '',
    );
    expect(comments[0]).toBe('short [ds: Ledge 71%, 14ft]');
    expect(comments[1]).toBe('Boat 25ft, cast 34M 48yd to 9ft');
    expect(comments[3]).toBe('long '.repeat(20));
    expect(codes(content, { maxText: 40 })).toContain('gpx/shortened');
  });
  test('a second run gives the same bytes', () => {
    for (const maxText of [20, 30, 40, 60, 90]) {
      const once = enriched(MARKS, { maxText });
      expect(enriched(once, { maxText })).toBe(once);
    }
  });
});

describe('--max-waypoints', () => {
  const many = gpx11(
    `  <metadata/>\n${Array.from({ length: 10 }, (_, i) => `  <wpt lat="${45 + i / 100}" lon="-93">\n    <name>Mark ${i}</name>\n  </wpt>\n`).join('')}  <trk><trkseg/></trk>\n`,
  );
  test('the file is split without losing a waypoint, and each mark stays with its boat positions', () => {
    const { parts } = enrich(read(many), { maxWaypoints: 10 });
    expect(parts.map(({ suffix, waypoints }) => [suffix, waypoints])).toEqual([
      ['-1', 9],
      ['-2', 9],
      ['-3', 9],
      ['-4', 3],
    ]);
    const all = parts.flatMap(({ bytes }) => read(bytes).waypoints);
    expect(all.map(({ name }) => name)).toEqual(read(enriched(many)).waypoints.map(({ name }) => name));
    for (const { bytes, waypoints } of parts) {
      const document = read(bytes);
      expect(document.waypoints).toHaveLength(waypoints);
      for (const { partner, fileIndex } of document.waypoints)
        if (partner !== undefined) expect(partner.of).toBeLessThan(fileIndex);
    }
  });
  test('routes, tracks and metadata are in the first part only', () => {
    const { parts } = enrich(read(many), { maxWaypoints: 10 });
    expect(parts.map(({ bytes }) => text(bytes).includes('<trk>'))).toEqual([true, false, false, false]);
    expect(parts.map(({ bytes }) => text(bytes).includes('<metadata/>'))).toEqual([
      true,
      false,
      false,
      false,
    ]);
    expect(text(parts[3].bytes)).toMatch(/^<\?xml[^>]*>\n<gpx [^>]*>\n {2}<wpt [\s\S]*<\/wpt>\n<\/gpx>\n$/);
  });
  test('the parts in UTF-16 are complete files too', () => {
    const bytes = Buffer.from(`\uFEFF${many}`, 'utf16le');
    const { parts } = enrich(read(bytes), { maxWaypoints: 10 });
    expect(parts.flatMap((part) => read(part.bytes).waypoints)).toHaveLength(30);
  });
  test('a limit below one waypoint with its boat positions is refused', () => {
    const partners = Array.from({ length: 5 }, (_, i) => ({
      suffix: `A${i}`,
      lat: 45 + i / 1000,
      lon: -93,
      comment: '',
      values: [],
    }));
    const run = () =>
      enrichGpx(read(many), [{ fileIndex: 0, values: [], comment: '', partners }], {
        ...NO_LIMITS,
        maxWaypoints: 3,
      });
    expect(run).toThrow(Refusal);
  });
});

test('boat positions have the chosen symbols, or none', () => {
  const result = enriched(MARKS, { downslopeSymbol: 'Anchor', upslopeSymbol: 'Buoy & flag' });
  expect(result.match(/<sym>[^<]*<\/sym>/g)).toEqual([
    '<sym>Flag</sym>',
    ...Array.from({ length: 3 }, () => ['<sym>Anchor</sym>', '<sym>Buoy &amp; flag</sym>']).flat(),
  ]);
  expect(enriched(MARKS).match(/<sym>/g)).toHaveLength(1);
});

test('without limits, names and numbers of waypoints that a chartplotter may not take are reported', () => {
  expect(codes(LONG)).toEqual(['gpx/long-name', 'gpx/repeated-name', 'gpx/name-characters']);
  const crowd = gpx11(
    Array.from({ length: 200 }, (_, i) => `<wpt lat="${i / 10}" lon="2"><name>${i}</name></wpt>`).join(''),
  );
  expect(codes(crowd)).toEqual(['gpx/many-waypoints']);
});
