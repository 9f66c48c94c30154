import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { CastPlan, Spot } from '../../shared/contract/cast-plan.ts';
import { fishNoteText, readFishNote } from '../../shared/text/index.ts';
import { formatCastComment, formatWaypointComment } from '../../src/formats/gpx/comment.ts';
import { toAscii } from '../../src/formats/table/plain-text.ts';

const FT = 0.3048;
const spot = (depth: number): Spot => ({
  lat: 0,
  lon: 0,
  east: 0,
  north: 0,
  depth,
  depthSd: 0.2,
});
const cast = (change: Partial<CastPlan> = {}): CastPlan => ({
  kind: 'downslope',
  boat: spot(25 * FT),
  landing: spot(9 * FT),
  bearing: 221,
  cast: 48 * 0.9144,
  lure: '18 ft diver',
  lureDepth: 19 * FT,
  contact: 20,
  fishContact: 11,
  fishContactSd: 1,
  worth: 11,
  contactDepths: [11 * FT, 19 * FT],
  profile: {
    distance: new Float64Array(0),
    bottom: new Float64Array(0),
    bottomSd: new Float64Array(0),
    lure: new Float64Array(0),
  },
  ...change,
});

describe('comment of a boat position', () => {
  test('gives boat depth, magnetic bearing, length, landing depth, lure and depths on bottom', () => {
    expect(formatCastComment(cast(), 'ft', { reference: 'M', declination: 7 })).toBe(
      'Boat 25ft, cast 214M 48yd to 9ft, 18ft diver, on bottom 11-19ft',
    );
  });

  test('uses meters with tenths for depths and whole meters for casts', () => {
    expect(formatCastComment(cast(), 'm', { reference: 'M', declination: 7 })).toBe(
      'Boat 7.6m, cast 214M 44m to 2.7m, 18ft diver, on bottom 3.4-5.8m',
    );
  });

  test('gives the true bearing when asked for, or when the declination is unknown', () => {
    expect(formatCastComment(cast(), 'ft', { reference: 'T', declination: 7 })).toContain('cast 221T ');
    expect(formatCastComment(cast(), 'ft', { reference: 'M' })).toContain('cast 221T ');
  });

  test('rounds a bearing just under north to 000', () => {
    expect(formatCastComment(cast({ bearing: 359.7 }), 'ft', { reference: 'T' })).toContain('cast 000T ');
    expect(
      formatCastComment(cast({ bearing: 2 }), 'ft', {
        reference: 'M',
        declination: 7.2,
      }),
    ).toContain('cast 355M ');
  });

  test('says that the lure never touches bottom', () => {
    expect(
      formatCastComment(cast({ contactDepths: undefined, contact: 0 }), 'ft', {
        reference: 'T',
      }),
    ).toBe('Boat 25ft, cast 221T 48yd to 9ft, 18ft diver, off bottom, lure to 19ft');
  });

  test('shortens a long lure name, never a number', () => {
    const text = formatCastComment(cast({ lure: 'the long one with the dented lip and red hooks' }), 'm', {
      reference: 'M',
      declination: 7,
    });
    expect(text).toHaveLength(80);
    expect(text).toMatch(/^Boat 7\.6m, cast 214M 44m to 2\.7m, the long one .*, on bottom 3\.4-5\.8m$/);
  });

  test('is printable ASCII of at most 80 characters for any lure name and depth', () => {
    fc.assert(
      fc.property(
        fc.string({ unit: 'binary', maxLength: 60 }),
        fc.double({ min: 0.1, max: 120, noNaN: true }),
        fc.double({ min: -720, max: 720, noNaN: true }),
        fc.constantFrom('ft' as const, 'm' as const),
        (lure, depth, bearing, units) => {
          const plan = cast({
            lure,
            bearing,
            boat: spot(depth),
            contactDepths: [depth / 2, depth],
          });
          expect(formatCastComment(plan, units, { reference: 'M', declination: -3 })).toMatch(
            /^[\x20-\x7e]{1,80}$/,
          );
        },
      ),
    );
  });
});

describe('comment of a mark', () => {
  const fields = {
    status: 'ok',
    depth: 19 * FT,
    depth_sd: 0.2,
    slope: 8.2,
    aspect: 221,
    declination: 7,
    structure: 'point',
    structure_confidence: 0.85,
    fish_top: 12 * FT,
    fish_bottom: 18 * FT,
  } as const;

  test('names structure with its confidence, depth, slope, and fish band', () => {
    expect(formatWaypointComment(fields, 'ft')).toBe('Point 85%, 19ft, slope 8deg to 214M; fish 12-18ft');
    expect(formatWaypointComment(fields, 'm')).toBe('Point 85%, 5.8m, slope 8deg to 214M; fish 3.7-5.5m');
  });

  test('never states a certainty of 100 %', () => {
    expect(formatWaypointComment({ ...fields, structure_confidence: 1 }, 'ft')).toMatch(/^Point 99%,/);
  });

  test('says that fish are from the note only if a note gave them', () => {
    expect(formatWaypointComment({ ...fields, fish_source: 'note' }, 'ft')).toMatch(
      /; fish 12-18ft from your note$/,
    );
    expect(formatWaypointComment({ ...fields, fish_source: 'option' }, 'ft')).toMatch(/; fish 12-18ft$/);
  });

  test.each([
    ['ledge 12-30ft', 'note is about the ledge, not the fish'],
    ['20 ft wide', 'note gives a distance or size'],
    ['fish deeper than 20 ft', ''],
    ['good spot', ''],
  ])('says what the note "%s" is about if it gives no depth of the fish', (comment, expected) => {
    const note = readFishNote({ comment, description: '', name: 'M1' }, 'ft');
    const band = { top: 12 * FT, bottom: 18 * FT };
    const fish_note = fishNoteText(note, { band, source: 'depth' }, true, 'ft');
    const text = formatWaypointComment({ ...fields, fish_source: 'depth', fish_note }, 'ft');
    expect(text).toBe(
      ['Point 85%, 19ft, slope 8deg to 214M', ...(expected === '' ? [] : [expected])].join('; '),
    );
  });

  test('writes an uncertain depth with its standard deviation', () => {
    expect(formatWaypointComment({ ...fields, depth_sd: 0.7 }, 'ft')).toContain('19ft+-2ft,');
  });

  test('says what is missing with one pass, few passes, soundings on one side, or none', () => {
    const { depth, depth_sd, fish_top, fish_bottom } = fields;
    expect(formatWaypointComment({ status: 'one-pass', depth, depth_sd, fish_top, fish_bottom }, 'ft')).toBe(
      '19ft; one pass: no slope; fish 12-18ft',
    );
    expect(formatWaypointComment({ status: 'sparse', depth, slope: 4, aspect: 90 }, 'ft')).toBe(
      '19ft, slope 4deg to 090T; few passes: no structure',
    );
    expect(formatWaypointComment({ status: 'edge', depth }, 'ft')).toBe('19ft; one side only');
    expect(formatWaypointComment({ status: 'no-data' }, 'ft')).toBe('no sonar here');
  });

  test('leaves out the direction of flat ground', () => {
    expect(formatWaypointComment({ ...fields, structure: 'flat', aspect: undefined }, 'ft')).toBe(
      'Flat 85%, 19ft, slope 8deg; fish 12-18ft',
    );
  });

  test('keeps the longest case within 80 characters with the whole fish band', () => {
    const longest = formatWaypointComment(
      {
        ...fields,
        status: 'edge',
        structure: undefined,
        fish_source: 'note',
        depth: 12.6,
        depth_sd: 0.5,
        slope: 12,
        fish_top: 12.2,
        fish_bottom: 18.4,
      },
      'm',
    );
    expect(longest).toBe('12.6m+-0.5m, slope 12deg to 214M; one side only; fish 12.2-18.4m from your note');
    expect(longest.length).toBeLessThanOrEqual(80);
  });
});

test('text becomes ASCII without accents, and unknown characters become ?', () => {
  expect(toAscii('H\u00f6cker \u2014 \u201cNord\u201d \u00b0')).toBe('Hocker - "Nord" deg');
  expect(toAscii('\u9b5a\t\n1')).toBe('? 1');
});
