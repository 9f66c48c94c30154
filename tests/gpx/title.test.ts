import { describe, expect, test } from 'vitest';
import { readGpx } from '../../src/formats/gpx/read-gpx.ts';

const titleOf = (text: string): string | undefined =>
  readGpx(new TextEncoder().encode(text), 'marks.gpx').title;
const gpx11 = (inside: string): string =>
  `<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">${inside}</gpx>`;
const WAYPOINT = '<wpt lat="35" lon="-85"><name>A1</name></wpt>';

describe('title of a waypoint file', () => {
  test.each([
    [
      'the name in the metadata',
      '<metadata><name>Wendelow &amp;\n  Lake</name></metadata>',
      'Wendelow & Lake',
    ],
    ['nothing without metadata', '', undefined],
    ['nothing for an empty name', '<metadata><name> </name></metadata>', undefined],
    ['not the name of its author', '<metadata><author><name>N. N.</name></author></metadata>', undefined],
    ['not the name of a track', '<trk><name>T</name></trk>', undefined],
    ['not a foreign name', '<metadata><name xmlns="urn:x">X</name></metadata>', undefined],
  ])('is %s', (_, metadata, title) => {
    expect(titleOf(gpx11(metadata + WAYPOINT))).toBe(title);
  });

  test('is the name of the root in GPX 1.0', () => {
    const text = `<gpx version="1.0" creator="t" xmlns="http://www.topografix.com/GPX/1/0"><name>North arm</name>${WAYPOINT}</gpx>`;
    expect(titleOf(text)).toBe('North arm');
  });

  test('does not affect the waypoints', () => {
    const text = gpx11(`<metadata><name>Lake</name></metadata>${WAYPOINT}`);
    const { waypoints } = readGpx(new TextEncoder().encode(text), 'marks.gpx');
    expect(waypoints.map(({ name }) => name)).toEqual(['A1']);
  });
});
