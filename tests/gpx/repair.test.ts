import { expect, test } from 'vitest';
import { enriched, gpx11, read, refusal, text, warnings } from './helpers.ts';

const BROKEN = gpx11(
  '  <wpt lat="45.1" lon="-93.2"><name>Tom & Sons</name><desc>a&nbsp;b &amp; c &#65;</desc></wpt>\n' +
    '  <!-- a & b -->\n  <wpt lat="45.2" lon="-93.2"><name>Bell\u0007</name><cmt><![CDATA[x & y]]></cmt></wpt>\n',
);

test('a bare & and a control character are mended in place, each listed with its line', () => {
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

test('white space before the XML declaration is left out, and a file cut short keeps what is whole', () => {
  const cut = `\n ${BROKEN.slice(0, BROKEN.indexOf('<cmt>'))}`;
  const document = read(cut, { repair: true });
  expect(document.waypoints.map(({ name }) => name)).toEqual(['Tom & Sons']);
  expect(warnings(document)).toContain('gpx/truncated');
});

test('without being asked a broken file is refused, and a whole one is not touched by asking', () => {
  expect(refusal(BROKEN)).toBe('gpx/xml 3 41');
  const whole = Buffer.from(gpx11('<wpt lat="1" lon="2"><name>\u00e9 &amp;</name></wpt>\n'));
  expect(read(whole, { repair: true }).bytes).toBe(whole);
});
