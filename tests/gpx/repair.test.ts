import { expect, test } from 'vitest';
import { enriched, enrichedBytes, gpx11, read, refusal, text, warnings } from './helpers.ts';

const BROKEN = gpx11(
  '  <wpt lat="45.1" lon="-93.2"><name>Tom & Sons</name><desc>a&nbsp;b &amp; c &#65;</desc></wpt>\n' +
    '  <!-- a & b -->\n  <wpt lat="45.2" lon="-93.2"><name>Bell\u0007</name><cmt><![CDATA[x & y]]></cmt></wpt>\n',
);

test('a bare & and a control character are repaired in place, each listed with its line', () => {
  const document = read(BROKEN, { repair: true });
  expect(document.waypoints.map(({ name }) => name)).toEqual(['Tom & Sons', 'Bell']);
  expect(document.waypoints[0].description).toBe('a&nbsp;b & c A');
  expect(document.waypoints[1].comment).toBe('x & y');
  expect(document.diagnostics.map(({ code, place }) => `${code} ${place?.line}`)).toEqual([
    'gpx/repaired 3',
    'gpx/repaired 3',
    'gpx/repaired 5',
  ]);
  expect(text(document.bytes)).toBe(
    BROKEN.replace('Tom & S', 'Tom &amp; S').replace('a&nbsp;', 'a&amp;nbsp;').replace('\u0007', ' '),
  );
  expect(enriched(document.bytes)).toContain('<name>Tom &amp; Sons D</name>');
});

test('white space before the XML declaration is removed, and a truncated file keeps its complete elements', () => {
  const cut = `\n ${BROKEN.slice(0, BROKEN.indexOf('<cmt>'))}`;
  const document = read(cut, { repair: true });
  expect(document.waypoints.map(({ name }) => name)).toEqual(['Tom & Sons', 'Bell']);
  expect(warnings(document).filter((code) => code === 'gpx/repaired')).toHaveLength(5);
});

const ONE = '<wpt lat="45.1234567" lon="-93.7654321"><name>Caf\u00e9 ledge</name></wpt>\n';
const latin = (content: string): Buffer => Buffer.from(content, 'latin1');
const wide = (content: string): Buffer => Buffer.from(`\ufeff${content}`, 'utf16le');

test.each<[string, string | Buffer, string, number, string]>([
  ['windows-1252 that says UTF-8', latin(gpx11(ONE)), 'gpx/encoding', 1, 'Caf\u00e9 ledge'],
  ['UTF-8 that says UTF-16', gpx11(ONE).replace('UTF-8', 'UTF-16'), 'gpx/encoding', 1, 'Caf\u00e9 ledge'],
  ['an unknown encoding', gpx11(ONE).replace('UTF-8', 'ansi'), 'gpx/encoding', 1, 'Caf\u00e9 ledge'],
  [
    'a byte-order mark of UTF-16 before single bytes',
    Buffer.concat([Buffer.of(0xff, 0xfe), Buffer.from(gpx11(ONE))]),
    'gpx',
    1,
    'Caf\u00e9 ledge',
  ],
  ['two byte-order marks', `\ufeff\ufeff${gpx11(ONE)}`, 'gpx/xml', 1, 'Caf\u00e9 ledge'],
  ['junk before the declaration', `HTTP/1.1 200 OK\n\n${gpx11(ONE)}`, 'gpx', 1, 'Caf\u00e9 ledge'],
  ['junk after the end', `${gpx11(ONE)}\nOK 1 file(s)`, 'gpx/xml', 4, 'Caf\u00e9 ledge'],
  [
    'an attribute twice',
    gpx11(ONE.replace('lat=', 'lat="45.1234567" lat=')),
    'gpx/xml',
    3,
    'Caf\u00e9 ledge',
  ],
  [
    'a prefix without declaration',
    gpx11(ONE.replace('</wpt>', '<extensions><u:d>3</u:d></extensions></wpt>')),
    'gpx/xml',
    3,
    'Caf\u00e9 ledge',
  ],
  ['a < in a value', gpx11(ONE.replace('lat=', 'note="< 5 ft" lat=')), 'gpx/xml', 3, 'Caf\u00e9 ledge'],
  [
    'an encoding that is not for text',
    gpx11(ONE).replace('UTF-8', 'base64'),
    'gpx/encoding',
    1,
    'Caf\u00e9 ledge',
  ],
  ['a lone <', gpx11(ONE.replace('ledge', '< 5 ft')), 'gpx/xml', 3, 'Caf\u00e9 < 5 ft'],
  [
    'a reference to a control character',
    gpx11(ONE.replace(' ledge', '&#8;ledge')),
    'gpx/xml',
    3,
    'Caf\u00e9 ledge',
  ],
  [
    'a bare & in UTF-16',
    wide(gpx11(ONE.replace(' ledge', ' & ledge')).replace('UTF-8', 'UTF-16')),
    'gpx/xml',
    3,
    'Caf\u00e9 & ledge',
  ],
  ['a last waypoint cut in its name', gpx11(ONE).split(' ledge')[0], 'gpx/truncated', 3, 'Caf\u00e9'],
  [
    'a last waypoint cut in an end tag',
    gpx11(ONE).split('me></wpt>')[0],
    'gpx/truncated',
    3,
    'Caf\u00e9 ledge',
  ],
])(
  '%s is refused, or with --repair repaired and reported with its line; the waypoint is unchanged',
  (_, broken, code, line, name) => {
    expect(refusal(broken)).toContain(code);
    const { bytes, diagnostics, waypoints } = read(broken, { repair: true });
    expect(
      diagnostics.filter((each) => each.code === 'gpx/repaired').map(({ place }) => place?.line),
    ).toEqual([line]);
    expect(waypoints.map(({ name, lat, lon }) => [name, lat, lon])).toEqual([
      [name, 45.1234567, -93.7654321],
    ]);
    expect(text(read(enrichedBytes(bytes)).utf8)).toContain('lat="45.1234567" lon="-93.7654321"');
  },
);

test('content that cannot be repaired without guessing is refused with its line', () => {
  const refused = (content: string): string => refusal(content, { repair: true });
  expect(refused(gpx11(ONE.replace('lat=', 'lat="45.2" lat=')))).toContain('gpx/xml 3');
  expect(refused(gpx11(ONE.replace('</name></wpt>', '</wpt></name>')))).toContain('gpx/xml 3');
  expect(refused(gpx11(ONE) + gpx11(ONE))).toContain('gpx/xml');
});

test('a file that lacks only the end tag of the root is said to keep everything', () => {
  const { diagnostics, waypoints } = read(gpx11(ONE).replace('</gpx>', ''), { repair: true });
  expect(waypoints).toHaveLength(1);
  expect(diagnostics.map(({ code, message }) => `${code} ${message}`)).toEqual([
    'gpx/truncated The end of this file, </gpx>, is missing and was added, as asked. Everything before it is kept.',
  ]);
});

test('a file in UTF-32 is called that, not damaged', () => {
  const utf32 = Buffer.from([...`\ufeff${gpx11(ONE)}`].flatMap((one) => [one.charCodeAt(0), 0, 0, 0]));
  utf32.set([0xff, 0xfe], 0);
  expect(() => read(utf32)).toThrow('it is UTF-32');
});

test('without --repair a broken file is refused, and with it a valid file is unchanged', () => {
  expect(refusal(BROKEN)).toBe('gpx/xml 3 41');
  const whole = Buffer.from(gpx11('<wpt lat="1" lon="2"><name>\u00e9 &amp;</name></wpt>\n'));
  expect(read(whole, { repair: true }).bytes).toBe(whole);
});
