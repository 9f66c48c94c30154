import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fishBand } from '../../plugins/fish-band.ts';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import type { WaypointInput } from '../../shared/contract/plugin.ts';
import { fishBandOf } from '../../shared/text/fish-band-text.ts';

const feet = (text: string): [number, number] | undefined => {
  const band = fishBandOf([text], 'ft');
  return band && [round(band.top / 0.3048), round(band.bottom / 0.3048)];
};
const meters = (text: string): [number, number] | undefined => {
  const band = fishBandOf([text], 'ft');
  return band && [round(band.top), round(band.bottom)];
};
const round = (value: number): number => Math.round(value * 100) / 100;

describe('fishBandOf', () => {
  it.each([
    'fish 12-18 ft',
    'one labeled 8-10 ft; 12-18 ft',
    'one labelled 8-10 ft; 12-18 ft',
    'fish 12-18',
    'fish12-18',
    '10-2-24 fish 12-18',
    'caught 3-5 lb fish 12-18',
    'water temp 70-75, fish 12-18',
    'Fish suspended from 12ft to 18ft',
    'Fish: 12-18',
    'FISH @ 12-18FT',
    'fish in 12 to 18 feet',
    'fish from 12 to 18 ft',
    'fish between 12 and 18 ft',
    'fish between 12 and 18',
    '12-18ft',
    "12-18'",
    "12' - 18'",
    '12ft-18ft',
    '12 ft. to 18 ft.',
    '12\u201318 ft',
    '12\u201418ft',
    '12 \u2212 18 ft',
    '12\u201318\u2032',
    '12 thru 18 ft',
    '12..18 ft',
    '12~18 ft',
    'fish 18-12 ft',
    'big school 12-18 on the point',
    'suspended 12-18 over 30 ft',
    'suspended 12-18 over 30-35 ft',
    'bottom 20-24 ft, fish 12-18 ft',
    'fish 12-18 ft, boat in 21-23 ft',
    'boat 21-23 ft; 12-18 ft',
    'marked 2024-06-12, fish 12-18 ft',
    'stump 3-4 lb caught; 12.0-18.0 feet',
    'Fish 12 down to 18 ft',
    '6-8 fish in 12-18 ft',
  ])('reads %j as 12 to 18 ft', (text) => {
    expect(feet(text)).toEqual([12, 18]);
  });

  it.each([
    ['suspended 4.5-6 m', [4.5, 6]],
    ['fish 4,5-6 m', [4.5, 6]],
    ['4 m to 5.5 meters', [4, 5.5]],
    ['3-4 metres', [3, 4]],
    ['2-3 fathoms', [3.66, 5.49]],
  ])('reads %j in its own unit', (text, expected) => {
    expect(meters(text)).toEqual(expected);
  });

  it('takes the unit of the person where a range has none', () => {
    expect(fishBandOf(['fish 4-6'], 'm')).toEqual({ top: 4, bottom: 6 });
  });

  it.each([
    '',
    'stump',
    'fishing 6-8 hours',
    '5/14-19 ft',
    '12-18',
    'spot 12-18',
    '2024-06-12',
    '06-12',
    'fish 06-12',
    'fish 2024-06-12',
    'fish 6/12/2024',
    'fish 6-12-2024',
    '7-9 am',
    'fish 7-9am',
    'fish 7:00-9:00',
    'caught 6-8 fish',
    'fish 3-4 lb',
    'fish 14-16 in',
    'fish 14-16"',
    'cast 40-50 yd',
    'wind 10-15 mph',
    'fish at 15 ft',
    '15 ft',
    'fish 12',
    '12 and 18 ft',
    'fish 12-12 ft',
    'ch 12-18-22 ft',
    'temp 70-75 F',
    'fish 70-75 F',
    'waypoint 3-4',
    '12-18 lb line',
    'fish 400-900 ft',
  ])('takes no band from %j', (text) => {
    expect(feet(text)).toBeUndefined();
  });

  it('prefers the first text when several say it', () => {
    expect(fishBandOf(['fish 10-12 ft', 'fish 14-16 ft'], 'ft')?.top).toBeCloseTo(10 * 0.3048, 9);
  });

  it('survives any text', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 200, unit: 'binary' }), (text) => {
        const band = fishBandOf([text], 'ft');
        if (band !== undefined) expect(band.top).toBeLessThan(band.bottom);
      }),
    );
  });
});

type Input = WaypointInput<never, 'depth'>;
const run = (waypoint: object, fields: object, fishDepth?: { top: number; bottom: number }) => {
  const said: Diagnostic[] = [];
  const input = {
    waypoint: { comment: '', description: '', name: 'M1', ...waypoint },
    fields,
  } as unknown as Input;
  const found = fishBand.run(
    input,
    { units: 'ft', fishDepth },
    { report: (diagnostic) => said.push(diagnostic), progress: () => {}, isWanted: () => true },
  );
  return { found, said };
};

describe('plugin fish-band', () => {
  it("takes the waypoint's text first, then the option, then the modeled depth, then the file's depth", () => {
    const option = { top: 3, bottom: 4 };
    expect(run({ comment: 'fish 4-6 m' }, { depth: 5 }, option).found.fish_source).toBe('note');
    expect(run({ name: 'fish 4-6 m' }, { depth: 5 }, option).found.fish_source).toBe('note');
    expect(run({}, { depth: 5 }, option).found).toEqual({
      fish_top: 3,
      fish_bottom: 4,
      fish_source: 'option',
    });
    const own = run({ depth: 9 }, { depth: 5 }).found;
    expect(own.fish_source).toBe('depth');
    expect(own.fish_top).toBeCloseTo(5 - 0.9144, 9);
    expect(own.fish_bottom).toBeCloseTo(5 + 0.9144, 9);
    expect(run({ depth: 9 }, {}).found.fish_bottom).toBeCloseTo(9.9144, 9);
  });

  it('keeps the band of a shallow waypoint within a quarter of its depth', () => {
    expect(run({}, { depth: 1 }).found).toEqual({ fish_top: 0.75, fish_bottom: 1.25, fish_source: 'depth' });
  });

  it('leaves the band out with a reason when nothing tells it', () => {
    const { found, said } = run({}, {});
    expect(found).toEqual({});
    expect(said.map(({ code }) => code)).toEqual(['fish/band']);
  });
});
