import { describe, expect, test } from 'vitest';
import { enrichGpx } from '../../src/formats/gpx/enrich-gpx.ts';
import type { GpxDocument } from '../../src/formats/gpx/gpx-document.ts';
import { additionsFor, enrich, enriched, gpx11, MARKS, NO_LIMITS, read, text } from './helpers.ts';

/** Waypoint elements of a file, each with the white space before it. */
const WAYPOINT = /\s*<wpt [\s\S]*?<\/wpt>/g;

/** Changes that chartplotters make to a file between import and export. */
const UNIT = {
  dropExtensions: (content: string) => content.replace(/\s*<extensions>[\s\S]*?<\/extensions>/g, ''),
  dropTypes: (content: string) => content.replace(/\s*<type>[^<]*<\/type>/g, ''),
  dropComments: (content: string) => content.replace(/\s*<cmt>[^<]*<\/cmt>/g, ''),
  cutComments: (content: string, length: number) =>
    content.replace(/<cmt>([^<]*)<\/cmt>/g, (_, comment: string) => `<cmt>${comment.slice(0, length)}</cmt>`),
  cutNames: (content: string, length: number) =>
    content.replace(
      /<name>([^<]*)<\/name>/g,
      (_, name: string) =>
        `<name>${name.replace('&amp;', '&').slice(0, length).replace('&', '&amp;')}</name>`,
    ),
  upperCase: (content: string) =>
    content.replace(
      /<(name|cmt)>([^<]*)</g,
      (_, tag: string, value: string) => `<${tag}>${value.toUpperCase().replace('&AMP;', '&amp;')}<`,
    ),
  numberRepeated: (content: string) => {
    const seen = new Map<string, number>();
    return content.replace(/<name>([^<]*)<\/name>/g, (whole, name: string) => {
      const before = seen.get(name) ?? 0;
      seen.set(name, before + 1);
      return before === 0 ? whole : `<name>${name.slice(0, -1)}${before}</name>`;
    });
  },
  numberAll: (content: string) => {
    let count = 0;
    return content.replace(/<name>[^<]*<\/name>/g, () => `<name>${String(++count).padStart(3, '0')}</name>`);
  },
  reverse: (content: string) => {
    const elements = content.match(WAYPOINT) ?? [];
    let next = elements.length;
    return content.replace(WAYPOINT, () => elements[--next]);
  },
  roundCoordinates: (content: string) =>
    content.replace(
      /(lat|lon)="([^"]*)"/g,
      (_, name: string, value: string) => `${name}="${Number(value).toFixed(5)}"`,
    ),
};

const marks = (document: GpxDocument) => document.waypoints.filter(({ partner }) => partner === undefined);
const count = (content: string): number => content.match(WAYPOINT)?.length ?? 0;

/** Checks that a file from a chartplotter is read as three marks and, enriched again, has nine waypoints. */
function expectComesBack(fromUnit: string): void {
  const document = read(fromUnit);
  expect(marks(document)).toHaveLength(3);
  const again = text(enrich(document).parts[0].bytes);
  expect(count(again)).toBe(9);
  expect(enriched(again)).toBe(again);
}

describe.each([
  ['with extension elements', {}],
  ['plain', { plain: true }],
])('a file enriched %s', (_, options) => {
  const once = enriched(MARKS, options);

  test('is the same after a second run', () => {
    expect(enriched(once, options)).toBe(once);
  });
  test('is recognized without its extension elements', () => {
    expectComesBack(UNIT.dropExtensions(once));
    expect(enriched(UNIT.dropExtensions(once), options)).toBe(once);
  });
  test.each([6, 8, 10, 15])(
    'is recognized with names cut to %i characters and duplicates numbered',
    (length) => {
      expectComesBack(UNIT.numberRepeated(UNIT.cutNames(UNIT.dropExtensions(once), length)));
    },
  );
  test('is recognized in capitals', () => {
    expectComesBack(UNIT.upperCase(UNIT.dropExtensions(once)));
    expectComesBack(UNIT.dropTypes(UNIT.upperCase(UNIT.dropExtensions(once))));
  });
  test('is recognized with numbers for names', () => {
    expectComesBack(UNIT.numberAll(UNIT.dropExtensions(once)));
  });
  test('is recognized in another order, with rounded coordinates', () => {
    expectComesBack(UNIT.reverse(UNIT.roundCoordinates(UNIT.dropExtensions(once))));
    expectComesBack(UNIT.reverse(UNIT.roundCoordinates(once)));
  });
  test('is recognized with everything at once: no types, short comments, names cut, in capitals, reversed', () => {
    const unit = UNIT.reverse(
      UNIT.upperCase(UNIT.cutNames(UNIT.cutComments(UNIT.dropTypes(UNIT.dropExtensions(once)), 30), 12)),
    );
    expectComesBack(unit);
  });
  test('is recognized from places alone: nothing is doubled, and the marks are enriched again', () => {
    const bare = UNIT.numberAll(UNIT.dropComments(UNIT.dropTypes(UNIT.dropExtensions(once))));
    const again = enriched(bare);
    expect(count(again)).toBe(9);
    expect(again.match(/<ds:waypoint/g)).toHaveLength(3);
  });
  test('is recognized with comments cut to a few characters', () => {
    for (const length of [12, 14, 16, 18, 24]) {
      expectComesBack(UNIT.cutNames(UNIT.dropTypes(UNIT.cutComments(UNIT.dropExtensions(once), length)), 12));
    }
  });
  test('keeps a comment written on the chartplotter, without doubling our summary', () => {
    const edited = once
      .replace('fish 14-19 ft', 'caught three')
      .replace('Old hump</name>\n    <cmt>', 'Old hump</name>\n    <cmt>big one ');
    const again = enriched(edited, options);
    expect(again).toContain('<cmt>caught three [ds: ');
    expect(again).toContain('<cmt>big one [ds: ');
    expect(again.match(/\[ds: /g)).toHaveLength(3);
    expect(read(again).waypoints[0].comment).toBe('caught three');
  });
});

test('our summary is hidden from plugins that read the comment', () => {
  expect(read(enriched(MARKS)).waypoints[0].comment).toBe('fish 14-19 ft');
  expect(read(UNIT.cutComments(enriched(MARKS), 30)).waypoints[0].comment).toBe('fish 14-19 ft');
});

describe('changes by the user are kept', () => {
  test('a moved mark is enriched at its new place, without the old boat positions', () => {
    for (const unit of [(content: string) => content, UNIT.dropExtensions]) {
      const moved = unit(enriched(MARKS)).replace('lat="45.1" lon="-93.2"', 'lat="45.15" lon="-93.25"');
      const again = enriched(moved);
      expect(count(again)).toBe(9);
      expect(again).toContain('lat="45.1497000" lon="-93.2500000"');
      expect(again).not.toContain('lat="45.0997000"');
    }
  });
  test('a renamed mark passes its new name on to its boat positions', () => {
    for (const unit of [(content: string) => content, UNIT.dropExtensions]) {
      const renamed = unit(enriched(MARKS)).replace('<name>Old hump</name>', '<name>Rock pile</name>');
      const again = enriched(renamed);
      expect(count(again)).toBe(9);
      expect(again).toContain('<name>Rock pile D</name>');
      expect(again).not.toContain('Old hump');
    }
  });
  test('a renamed boat position becomes an ordinary waypoint', () => {
    for (const unit of [(content: string) => content, UNIT.dropExtensions]) {
      const renamed = unit(enriched(MARKS)).replace('<name>Old hump D</name>', '<name>Stake bed</name>');
      const document = read(renamed);
      expect(marks(document).map(({ name }) => name)).toContain('Stake bed');
      const again = text(enrich(document).parts[0].bytes);
      expect(again).toContain('<name>Stake bed</name>');
      expect(enriched(again)).toBe(again);
    }
  });
  test('a moved boat position stays where it is, and none is added on its side', () => {
    const moved = enriched(MARKS).replace(
      'lat="45.0997000" lon="-93.2000000">\n    <name>',
      'lat="45.0990000" lon="-93.2010000">\n    <name>',
    );
    const document = read(moved);
    expect(document.diagnostics.map(({ code }) => code)).toEqual(['gpx/boat-moved']);
    expect(marks(document)).toHaveLength(3);
    const again = text(enrich(document).parts[0].bytes);
    expect(again).toContain('lat="45.0990000" lon="-93.2010000"');
    expect(count(again)).toBe(9);
    expect(enriched(again)).toBe(again);
  });
  test('a deleted boat position is added again, because its mark still exists', () => {
    const without = enriched(MARKS).replace(/\s*<wpt [^>]*>\s*<name>Old hump D[\s\S]*?<\/wpt>/, '');
    expect(count(without)).toBe(8);
    expect(enriched(without)).toBe(enriched(MARKS));
  });
  test('before the first run, marks whose names happen to look like boat positions are ordinary marks', () => {
    const content = gpx11(
      '<wpt lat="45" lon="-93"><name>Reef</name></wpt><wpt lat="45.0005" lon="-93"><name>Reef D</name></wpt><wpt lat="46" lon="-93"><name>Far D</name></wpt>',
    );
    const document = read(content);
    expect(document.diagnostics).toEqual([]);
    expect(marks(document)).toHaveLength(3);
    const result = text(enrich(document).parts[0].bytes);
    expect(result).toContain('lat="45.0005" lon="-93"><name>Reef D</name>');
    expect(count(result)).toBe(9);
  });
  test("a mark that happens to be at another mark's boat position is an ordinary mark", () => {
    const content = gpx11(
      '<wpt lat="45.1" lon="-93.2"><name>A</name></wpt><wpt lat="45.0997" lon="-93.2"><name>Mine</name></wpt>',
    );
    const once = enriched(content);
    expect(count(once)).toBe(6);
    expect(once).toContain('<name>Mine D</name>');
    expect(enriched(once)).toBe(once);
  });
});

test('extension elements are added and removed as each run asks', () => {
  const plain = enriched(MARKS, { plain: true });
  const full = enriched(MARKS);
  expect(enriched(full, { plain: true })).toBe(plain);
  expect(enriched(plain)).toBe(full);
  expect(plain).not.toContain('downslope');
});

test('after another program rewrites the file, our elements are found by namespace', () => {
  const rewritten = enriched(MARKS)
    .replaceAll('ds:', 'q:')
    .replace('xmlns:ds', 'xmlns:q')
    .replaceAll(/\[q: /g, '[ds: ')
    .replaceAll(/>\s+</g, '><');
  const document = read(rewritten);
  expect(marks(document)).toHaveLength(3);
  const again = text(enrich(document).parts[0].bytes);
  expect(count(again)).toBe(9);
  expect(again).not.toContain('xmlns:ds');
  expect(enriched(again)).toBe(again);
});

test('our elements elsewhere in the file keep their namespace declaration', () => {
  const copied = enriched(MARKS).replace(
    '</gpx>',
    '<extensions><ds:depth unit="m">1</ds:depth></extensions></gpx>',
  );
  expect(enriched(copied)).toBe(copied);
});

test('brackets around an old summary do not join into ]]>, which text must not contain', () => {
  for (const comment of [']][ds: old]>', '][ds: old]]>', '<![CDATA[a][ds: old]]]>', '[ds: old]]&gt;']) {
    const content = gpx11(`<wpt lat="45" lon="-93"><name>a</name><cmt>${comment}</cmt></wpt>`);
    if (comment.endsWith(']]>') && !comment.includes('CDATA'))
      expect(() => read(content)).toThrow(/]]> in text/);
    else expect(enriched(enriched(content))).toBe(enriched(content));
  }
});

test('comments crafted to slow down a reader are read quickly', () => {
  for (const hostile of [
    '[ds: '.repeat(100_000),
    `${'[ds:'.repeat(100_000)}<!-- -->`,
    `${'['.repeat(50_000)}${'ds: x]'.repeat(50_000)}`,
    `<![CDATA[${'<!-- [ds: '.repeat(100_000)}]]>`,
    '<!-- a --><?b c?>'.repeat(50_000),
  ]) {
    const content = gpx11(`<wpt lat="45" lon="-93"><name>a</name><cmt>${hostile}</cmt></wpt>`);
    expect(enriched(content)).toContain('<ds:waypoint');
  }
});

test('marks at one place, as when two exports are merged, are all enriched even with a boat position on them', () => {
  const mark = (name: string, lat: number): string =>
    `  <wpt lat="${lat}" lon="-93.2"><name>${name}</name></wpt>\n`;
  const document = read(
    gpx11(mark('Hump', 45.1) + mark('HUMP 2', 45.1) + mark('Bar', 45.2) + mark('BAR 2', 45.2)),
  );
  const additions = additionsFor(document).map((addition) => ({
    ...addition,
    partners: addition.partners.map((partner) =>
      partner.suffix === 'U'
        ? { ...partner, lat: document.waypoints[addition.fileIndex].lat, lon: -93.2 }
        : partner,
    ),
  }));
  const once = text(enrichGpx(document, additions, NO_LIMITS).parts[0].bytes);
  expect(count(once)).toBe(12);
  expect(once.match(/<ds:waypoint /g)).toHaveLength(4);
});
