import { gzipSync } from 'node:zlib';
import iconv from 'iconv-lite';
import { describe, expect, test } from 'vitest';
import { ATTRIBUTE_LIMIT, DEPTH_LIMIT } from '../../src/formats/gpx/scan-xml.ts';
import {
  enrich,
  enriched,
  enrichedBytes,
  GPX_11,
  gpx10,
  gpx11,
  MARKS,
  read,
  refusal,
  stripped,
  text,
  warnings,
} from './helpers.ts';

/** Returns a small file in an encoding, with `word` in a name; `declaration` may state another encoding. */
const declared = (encoding: string, word: string, declaration = encoding): Uint8Array =>
  iconv.encode(
    `<?xml version="1.0" encoding="${declaration}"?>\n<gpx xmlns="${GPX_11}" version="1.1" creator="t"><wpt lat="45" lon="-93"><name>${word}</name></wpt></gpx>\n`,
    encoding,
  );
const withMark = (mark: readonly number[], bytes: Uint8Array): Uint8Array =>
  Buffer.concat([Uint8Array.from(mark), bytes]);
const UTF8_MARK = [0xef, 0xbb, 0xbf];
const one = (inside: string, attributes = 'lat="45" lon="-93"'): string =>
  gpx11(`<wpt ${attributes}>${inside}</wpt>\n`);

/** Checks that enriching changes the file, undoing restores its bytes, and a second run changes nothing. */
function expectKept(content: Uint8Array | string): void {
  const bytes = typeof content === 'string' ? Buffer.from(content) : content;
  const once = enrichedBytes(bytes);
  expect(Buffer.from(once).equals(bytes)).toBe(false);
  expect(Buffer.from(stripped(once)).equals(bytes)).toBe(true);
  expect(Buffer.from(enrichedBytes(once)).equals(once)).toBe(true);
}

describe('encodings', () => {
  test('G01: UTF-8 with and without a declaration or byte-order mark is kept as it is', () => {
    expectKept(MARKS);
    expectKept(MARKS.replace(/^<\?xml.*\n/, ''));
    const marked = withMark(UTF8_MARK, Buffer.from(MARKS));
    expectKept(marked);
    expect([...enrichedBytes(marked).subarray(0, 3)]).toEqual(UTF8_MARK);
    expect([...enrichedBytes(MARKS).subarray(0, 2)]).toEqual([0x3c, 0x3f]);
  });
  test('G02: UTF-16 of both byte orders, with and without a mark, is written back in the same encoding', () => {
    const little = iconv.encode(MARKS.replace('UTF-8', 'UTF-16').replace('hump', 'høj'), 'utf-16le');
    const big = Buffer.from(little).swap16();
    for (const bytes of [withMark([0xff, 0xfe], little), withMark([0xfe, 0xff], big), little, big]) {
      expectKept(bytes);
      expect(read(bytes).waypoints[1].name).toBe('Old høj');
    }
  });
  test('G03: a UTF-16 byte-order mark takes precedence over a declaration of UTF-8, with a warning', () => {
    const bytes = withMark([0xff, 0xfe], iconv.encode(MARKS, 'utf-16le'));
    expect(warnings(read(bytes))).toEqual(['gpx/encoding']);
    expectKept(bytes);
  });
  test('G04: files in single-byte and multibyte encodings come back byte for byte', () => {
    for (const [encoding, word] of [
      ['ISO-8859-1', 'Bjørnøya'],
      ['windows-1252', 'Reef – “near”'],
      ['windows-1251', 'Мыс'],
      ['Shift_JIS', '岬の先'],
      ['EUC-JP', '岬の先'],
      ['GB18030', '岬'],
      ['KOI8-R', 'Мыс'],
    ]) {
      const bytes = declared(encoding, word);
      expect(read(bytes).waypoints[0].name).toBe(word);
      expectKept(bytes);
      expect(text(enrichedBytes(bytes)).includes('�D')).toBe(false);
    }
  });
  test('G04: bytes that do not survive decoding and encoding are refused with their place', () => {
    const bytes = declared('Shift_JIS', 'xyz');
    bytes[bytes.indexOf('x'.charCodeAt(0), 60)] = 0xfd;
    expect(refusal(bytes)).toMatch(/^gpx\/encoding \d+ \d+$/);
  });
  test('G05: windows-1252 letters declared as ISO-8859-1 are read as windows-1252 and kept, with a warning', () => {
    const bytes = declared('windows-1252', 'Deep “hole”', 'ISO-8859-1');
    expect(warnings(read(bytes))).toEqual(['gpx/encoding']);
    expect(read(bytes).waypoints[0].name).toBe('Deep “hole”');
    expectKept(bytes);
  });
  test('G06: bytes that are not UTF-8 are refused with line and column', () => {
    const bytes = Buffer.from(one('<name>Bj\u00f8rn</name>'), 'latin1');
    expect(refusal(bytes)).toBe('gpx/encoding 3 33');
    expect(refusal(declared('ISO-8859-1', 'Bjørn', 'utf-8'))).toMatch(/^gpx\/encoding 2 /);
  });
  test('G07: an unknown encoding, and a stateful one, are refused', () => {
    expect(refusal(MARKS.replace('UTF-8', 'x-unknown'))).toBe('gpx/encoding 1');
    expect(refusal(MARKS.replace('UTF-8', 'UTF-7'))).toBe('gpx/encoding 1');
  });
  test('names in a narrow encoding get character references for missing characters', () => {
    const bytes = declared('ISO-8859-1', 'Price &#8364;');
    expect(text(enrichedBytes(bytes))).toContain('<name>Price &#8364; D</name>');
    expectKept(bytes);
  });
});

describe('form', () => {
  test('G08: content before the declaration or after the root is refused with its place', () => {
    expect(refusal(withMark(UTF8_MARK, withMark(UTF8_MARK, Buffer.from(MARKS))))).toBe('gpx/xml 1 2');
    expect(refusal(`\n${MARKS}`)).toMatch(/^gpx\/xml 2/);
    expect(refusal(`${MARKS}rest`)).toMatch(/^gpx\/xml 1[34]/);
    expect(refusal(`${MARKS}<gpx/>`)).toMatch(/^gpx\/xml 1[34]/);
    expect(refusal(MARKS + MARKS)).toMatch(/^gpx\/xml 1[34]/);
  });
  test('G09: line ends are kept, and additions use those of the file', () => {
    for (const end of ['\r\n', '\r']) {
      const content = MARKS.replaceAll('\n', end);
      expectKept(content);
      const result = enriched(content);
      expect(result.replaceAll(end, '')).not.toMatch(/[\r\n]/);
      expect(result).toContain(`${end}    <extensions>`);
    }
  });
  test('G10: CDATA, comments, instructions, quotes and entities stay as they are', () => {
    expectKept(
      gpx11(
        "<!-- <wpt lat='1' lon='1'/> --><?note <wpt?>\n<wpt  lon = '-93'\n lat=\"45\" ><name><![CDATA[a <b> ]] & c]]></name><cmt>5 &lt; 6 &amp; <![CDATA[x]]></cmt><!-- last --></wpt>\n",
      ),
    );
    const [waypoint] = read(one('<name><![CDATA[a <b>]]> &amp; c&#33;</name>')).waypoints;
    expect(waypoint.name).toBe('a <b> & c!');
    expect(enriched(one('<name><![CDATA[a <b>]]> &amp; c</name>'))).toContain(
      '<name>a &lt;b&gt; &amp; c D</name>',
    );
  });
  test('G11: &#13;, U+0085 and U+2028 survive', () => {
    const content = one('<name>a</name><desc>one&#13;two\u0085three\u2028four</desc>');
    expectKept(content);
    expect(read(content).waypoints[0].description).toBe('one\rtwo\u0085three\u2028four');
  });
  test('G12: malformed XML is refused with line and column', () => {
    expect(refusal(one('<name>Rock & reef</name>'))).toMatch(/^gpx\/xml 3 /);
    expect(refusal(one('<name>5 < 6</name>'))).toBe('gpx/xml 3 34');
    expect(refusal(one('<name>a&nbsp;b</name>'))).toBe('gpx/xml 3 32');
    expect(refusal(one('<name>a</Name>'))).toMatch(/^gpx\/xml 3/);
    expect(refusal(one('', 'lat="1" lat="2"'))).toMatch(/^gpx\/xml 3/);
    expect(refusal(MARKS.replace('</gpx>', ''))).toMatch(/^gpx\/truncated/);
  });
  test('G12: a lone & is reported at its place, whether or not a ; follows', () => {
    expect(refusal(one('<name>Rock & reef</name>'))).toBe('gpx/xml 3 36');
    expect(refusal(one('<name>a</name>\n<cmt>mud & sand; shell</cmt>'))).toBe('gpx/xml 4 10');
  });
  test('G13: characters that XML does not allow are refused, raw or as a reference', () => {
    for (const bad of ['\u0001', '&#1;', '\0', '\uFFFE', '&#xD800;', '&#xFFFF;']) {
      expect(refusal(one(`<name>a${bad}b</name>`))).toMatch(/^gpx\/xml 3 /);
    }
  });
  test('G14: a tail of NUL or FF bytes is refused, or removed with --repair', () => {
    for (const value of [0, 0xff]) {
      const bytes = Buffer.concat([Buffer.from(MARKS), Buffer.alloc(512, value)]);
      expect(refusal(bytes)).toBe('gpx/tail 14');
      const document = read(bytes, { repair: true });
      expect(text(document.bytes)).toBe(MARKS);
      expect(warnings(document)).toEqual(['gpx/tail']);
    }
    const wide = Buffer.concat([Buffer.from(`\uFEFF${MARKS}`, 'utf16le'), Buffer.alloc(512)]);
    expect(read(wide, { repair: true }).waypoints).toHaveLength(3);
  });
  test('G15: a truncated file is refused, with the element that was open and where it began', () => {
    const cut = MARKS.slice(0, MARKS.indexOf('Old hump'));
    expect(() => read(cut)).toThrow(/ends inside the <wpt> of line 9/);
    for (const end of ['<wpt lat="45.11', '<wpt lat', '<name']) {
      expect(refusal(MARKS.slice(0, MARKS.lastIndexOf(end) + end.length))).toMatch(/^gpx\/truncated/);
    }
    const document = read(cut, { repair: true });
    expect(document.waypoints.map(({ name }) => name)).toEqual(['Long ledge south', '']);
    expect(warnings(document)).toEqual(['gpx/repaired']);
    expectKept(document.bytes);
  });
  test('G33: elements that are not in the order of the schema keep their order', () => {
    expectKept(one('<sym>Flag</sym><name>a</name><ele>3</ele><cmt>c</cmt>'));
  });
  test('G36: many attributes are read up to the limit and refused above it, quickly', () => {
    const many = (count: number): string =>
      one('', `lat="1" lon="2" ${Array.from({ length: count }, (_, i) => `a${i}="1"`).join(' ')}`);
    expectKept(many(ATTRIBUTE_LIMIT - 2));
    expect(refusal(many(20_000))).toBe('gpx/attributes 3');
  });
  test('G37: files that are not GPX are refused and identified', () => {
    const named = (content: string | Uint8Array): string => {
      try {
        read(content);
        return 'accepted';
      } catch (error) {
        return (error as Error).message;
      }
    };
    expect(named('<!DOCTYPE html><html><body>Not found</body></html>')).toContain('an HTML page');
    expect(named('<html><head></head></html>')).toContain('an HTML page');
    expect(named('<kml xmlns="http://www.opengis.net/kml/2.2"/>')).toContain('a KML file');
    expect(named(MARKS.replaceAll('gpx', 'GPX'))).toContain('<GPX>');
    expect(named(gzipSync(MARKS))).toContain('a gzip file');
    expect(named(Buffer.from('BZh91AY'))).toContain('a bzip2 file');
    expect(named(Buffer.from('PK\x03\x04rest', 'latin1'))).toContain('a zip file');
    const tar = Buffer.alloc(1024);
    tar.write('marks.gpx');
    tar.write('ustar', 257);
    tar[1023] = 1;
    expect(named(tar)).toContain('a tar archive');
    expect(named(Buffer.from('ffd8ffe000104a464946', 'hex'))).toContain('a JPEG picture');
    expect(named('{"type":"FeatureCollection"}')).toContain('JSON');
  });
  test('G38: an empty file and a file with only spaces or only a declaration are refused', () => {
    expect(refusal('')).toBe('gpx/empty');
    expect(refusal(' \n\t\n')).toBe('gpx/empty');
    expect(refusal('<?xml version="1.0"?>\n')).toMatch(/^gpx\/xml/);
  });
  test('G39: XML 1.1 is read with a warning and its declaration kept', () => {
    const content = MARKS.replace('version="1.0"', 'version="1.1"');
    expect(warnings(read(content))).toContain('gpx/xml-version');
    expectKept(content);
  });
});

describe('hostile XML', () => {
  test('G16: every document type declaration is refused at its place', () => {
    const bomb = `<?xml version="1.0"?>\n<!DOCTYPE gpx [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>\n<gpx>&b;</gpx>`;
    expect(refusal(bomb)).toBe('gpx/doctype 2 1');
    expect(refusal('<!DOCTYPE gpx SYSTEM "http://localhost/x.dtd"><gpx/>')).toBe('gpx/doctype 1 1');
    expect(refusal('<!-- a --><!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hosts">]><gpx>&x;</gpx>')).toBe(
      'gpx/doctype 1 11',
    );
    expect(refusal('<!DOCTYPE gpx><gpx/>')).toBe('gpx/doctype 1 1');
    expect(refusal('<gpx><!DOCTYPE gpx></gpx>')).toMatch(/^gpx\/(xml|doctype) 1/);
  });
  test('G16: a document type declaration of 20 MB is not read', () => {
    const long = Buffer.concat([
      Buffer.from('<!DOCTYPE gpx ['),
      Buffer.alloc(20e6, 'x'),
      Buffer.from(']><gpx/>'),
    ]);
    expect(refusal(long)).toBe('gpx/doctype 1 1');
  });
  test('G17: an inclusion is kept and not followed', () => {
    expectKept(
      one(
        '<name>a</name><extensions><xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="/etc/hosts"/></extensions>',
      ),
    );
  });
  test('G35: nesting above the limit is refused with its place, even 20,000 deep', () => {
    const nested = (depth: number): string =>
      one(`<extensions>${'<x:a xmlns:x="urn:x">'.repeat(depth)}${'</x:a>'.repeat(depth)}</extensions>`);
    expectKept(nested(DEPTH_LIMIT - 3));
    expect(refusal(nested(DEPTH_LIMIT - 2))).toMatch(/^gpx\/depth 3 /);
    expect(refusal(nested(20_000))).toMatch(/^gpx\/depth 3 /);
  });
});

describe('namespaces', () => {
  test('G18: a prefix on every GPX element is understood, and used for additions', () => {
    const content = `<?xml version="1.0"?>\n<g:gpx xmlns:g="${GPX_11}" version="1.1" creator="t">\n  <g:wpt lat="45" lon="-93">\n    <g:name>a</g:name>\n  </g:wpt>\n</g:gpx>\n`;
    expectKept(content);
    expect(enriched(content)).toContain('</g:extensions>');
    expect(read(content).waypoints[0].name).toBe('a');
  });
  test('G19: a file without a namespace, or with another one, is read with a warning', () => {
    const none = MARKS.replace(` xmlns="${GPX_11}"`, '');
    expect(warnings(read(none))).toEqual(['gpx/namespace']);
    expectKept(none);
    const https = MARKS.replace('http:', 'https:');
    expect(warnings(read(https))).toEqual(['gpx/namespace']);
    expectKept(https);
  });
  test('G20: a prefix without a declaration is refused with its place', () => {
    expect(refusal(one('<extensions><x:a/></extensions>'))).toMatch(/^gpx\/xml 3 /);
  });
  test('G21: declarations on inner elements, attributes and text of extensions stay', () => {
    expectKept(
      one(
        `<name xmlns="${GPX_11}">a</name><extensions a="1">text<x:a xmlns:x="urn:x" x:b="2">t</x:a></extensions>`,
      ),
    );
    expectKept(
      `<r:gpx xmlns:r="${GPX_11}" version="1.1" creator="t"><wpt xmlns="${GPX_11}" lat="45" lon="-93"><name>a</name></wpt></r:gpx>`,
    );
  });
  test('G22: another prefix is used when ours is bound to another namespace anywhere in the file', () => {
    const root = gpx11('<wpt lat="45" lon="-93"/>\n', ' xmlns:ds="urn:other"');
    expectKept(root);
    expect(enriched(root)).toContain('xmlns:ds1="urn:downslope:gpx:1"');
    const inner = one('<extensions><ds:a xmlns:ds="urn:other"/></extensions>');
    expectKept(inner);
    expect(enriched(inner)).toContain('<ds1:waypoint');
  });
  test('G23: enriching an enriched file gives the same bytes', () => {
    const once = enriched(MARKS);
    expect(enriched(once)).toBe(once);
    expect(read(once).waypoints.filter(({ partner }) => partner === undefined)).toHaveLength(3);
  });
  test('G24: elements from a newer version of this program are kept, with a warning', () => {
    const content = one(
      '<name>a</name><extensions><n:waypoint xmlns:n="urn:downslope:gpx:2"><n:depth>1</n:depth></n:waypoint></extensions>',
    );
    expect(warnings(read(content))).toEqual(['gpx/newer']);
    expectKept(content);
    expect(enriched(content)).toContain('<n:depth>1</n:depth>');
  });
});

describe('versions and waypoints', () => {
  test('G25: in GPX 1.0 our element is the last child of the waypoint', () => {
    const content = gpx10(
      '  <wpt lat="45" lon="-93">\n    <name>a</name>\n    <x:b xmlns:x="urn:x">1</x:b>\n  </wpt>\n',
    );
    expectKept(content);
    expect(enriched(content)).toMatch(/<\/x:b>\n {4}<ds:waypoint [\s\S]*?<\/ds:waypoint>\n {2}<\/wpt>/);
    expect(enriched(content)).not.toContain('<extensions>');
  });
  test('G26: in GPX 1.1 extensions are the last child, and cmt has its place in the schema', () => {
    const result = enriched(one('<ele>1</ele><name>a</name><desc>d</desc><type>t</type>'));
    expect(result).toMatch(
      /<name>a<\/name><cmt>\[ds: [^\]]*\]<\/cmt><desc>d<\/desc><type>t<\/type><extensions>/,
    );
    expect(result).toMatch(/<\/ds:waypoint><\/extensions><\/wpt>/);
  });
  test('G27: self-closing waypoints and extensions are opened for additions, and restored', () => {
    expectKept(gpx11('<wpt lat="45" lon="-93"/>\n'));
    expectKept(gpx11('<wpt lat="45" lon="-93" />'));
    expectKept(one('<name>a</name><cmt/><extensions/>'));
    expectKept(one('<name>a</name><cmt></cmt><extensions></extensions>'));
    expectKept(one('<name/><cmt /><extensions a="1" />'));
    const two = one('<name>a</name><extensions/><extensions><x:a xmlns:x="urn:x"/></extensions>');
    expect(warnings(read(two))).toEqual(['gpx/extensions']);
    expectKept(two);
    expect(enriched(two)).toMatch(/<x:a xmlns:x="urn:x"\/>\s*<ds:waypoint/);
  });
  test('G28: content that the schema does not allow is kept', () => {
    expectKept(
      one(
        '<name>a</name><name>b</name><foo>1</foo><extensions><bar/></extensions><sym/>',
        'lat="45" lon="-93" id="7"',
      ),
    );
    expectKept(MARKS.replace('version="1.1" creator="test"', ''));
  });
  test('G29: numbers are used as numbers and their text is kept', () => {
    const content = one('', 'lat="+1.50" lon=" -0.12345678901234567890 "');
    expect(read(content).waypoints[0]).toMatchObject({ lat: 1.5, lon: -0.12345678901234568 });
    expect(warnings(read(content))).toEqual([]);
    expectKept(content);
    const exponent = one('', 'lat="1.5e0" lon="-0"');
    expect(read(exponent).waypoints[0].lat).toBe(1.5);
    expect(warnings(read(exponent))).toEqual(['gpx/coordinates']);
  });
  test('G30, G31: a waypoint with unusable coordinates is kept and not enriched, with a warning', () => {
    for (const attributes of [
      'lat="59,5" lon="24"',
      'lat="91" lon="0"',
      'lat="0" lon="181"',
      'lon="3"',
      'lat="north" lon="3"',
      'lat="" lon="3"',
      'lat="1e999" lon="3"',
      'lat="0x10" lon="3"',
    ]) {
      const content = one('<name>a</name>', attributes);
      const document = read(content);
      expect(document.waypoints[0].canEnrich).toBe(false);
      expect(warnings(document)).toEqual(['gpx/coordinates']);
      expect(enriched(content)).toBe(content);
    }
  });
  test('G32: across the antimeridian, longitude 180 included, boat positions stay in [-180, 180)', () => {
    const content = one('<name>a</name>', 'lat="0" lon="180"');
    expectKept(content);
    expect(enriched(content)).toContain('lon="-180.0000000"');
    expect(enriched(content)).toContain('lon="-179.9999000"');
  });
  test('G34: repeated, empty, missing and long names stay, with a warning', () => {
    const content = gpx11(
      `<wpt lat="1" lon="1"><name>a</name></wpt><wpt lat="2" lon="1"><name>A </name></wpt><wpt lat="3" lon="1"><name/></wpt><wpt lat="4" lon="1"/><wpt lat="5" lon="1"><name>${'x'.repeat(5000)}</name></wpt><wpt lat="6" lon="1"><name>  b \n c </name></wpt>`,
    );
    expectKept(content);
    expect(enrich(read(content)).limits.map(({ code }) => code)).toEqual([
      'gpx/long-name',
      'gpx/repeated-name',
      'gpx/no-name',
    ]);
  });
  test('G40: a file without waypoints comes back unchanged', () => {
    const content = gpx11('<trk><trkseg><trkpt lat="1" lon="2"/></trkseg></trk>');
    expect(enriched(content)).toBe(content);
    expect(read(content).counts).toMatchObject({ tracks: 1, trackPoints: 1 });
  });
});
