import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type FishNote, type LeftReason, readFishNote } from '../../shared/text/fish-note.ts';

const FT = 0.3048;
const note = (comment: string, more: { description?: string; name?: string } = {}) => ({
  name: 'M1',
  description: '',
  comment,
  ...more,
});
const read = (comment: string): FishNote => readFishNote(note(comment), 'ft');
const feet = (comment: string): [number, number] | undefined => {
  const { band } = read(comment);
  return band && [round(band.top / FT), round(band.bottom / FT)];
};
const round = (value: number): number => Math.round(value * 100) / 100;

/** Fish depths that an angler means by a note, ft. */
const FISH: readonly (readonly [string, number, number])[] = [
  // Ranges with a unit.
  ['fish 12-18 ft', 12, 18],
  ['12-18ft', 12, 18],
  ["12-18'", 12, 18],
  ["12' - 18'", 12, 18],
  ['12ft-18ft', 12, 18],
  ['12 ft. to 18 ft.', 12, 18],
  ['12\u201318 ft', 12, 18],
  ['12\u201418ft', 12, 18],
  ['12 \u2212 18 ft', 12, 18],
  ['12\u201318\u2032', 12, 18],
  ['12\u2019-18\u2019', 12, 18],
  ['12 thru 18 ft', 12, 18],
  ['12..18 ft', 12, 18],
  ['12~18 ft', 12, 18],
  ['12--18 ft', 12, 18],
  ['fish 18-12 ft', 12, 18],
  ['12.5-18 ft', 12.5, 18],
  ['between 12 and 18 ft', 12, 18],
  ['fish in 12 to 18 feet', 12, 18],
  ['FISH @ 12-18FT', 12, 18],
  ['Fish suspended from 12ft to 18ft', 12, 18],
  // Ranges next to words for fish.
  ['fish 12-18', 12, 18],
  ['fish12-18', 12, 18],
  ['Fish: 12-18', 12, 18],
  ['22-26 good bite', 22, 26],
  ['good bite 22-26', 22, 26],
  ['good bite, 22-26', 22, 26],
  ['bite was 22 to 26', 22, 26],
  ['marked school 18 to 22', 18, 22],
  ['big school 12-18 on the point', 12, 18],
  ['schooled up 18-22', 18, 22],
  ['stacked 18-22', 18, 22],
  ['fish holding 18-22 tight to cover', 18, 22],
  ['bass between 12 and 18', 12, 18],
  ['marked fish 20 down to 25', 20, 25],
  ['caught in 18-22', 18, 22],
  ['lots of arches 18-22', 18, 22],
  ['suspended 12-18 over 30 ft', 12, 18],
  ['suspended 12-18 over 30-35 ft', 12, 18],
  ['smallmouth 18-22', 18, 22],
  ['22-26', 22, 26],
  // Single depths: two feet either way.
  ["24'", 22, 26],
  ['24 ft', 22, 26],
  ['24ft.', 22, 26],
  ['24\u2032', 22, 26],
  ['24 feet', 22, 26],
  ['~24 ft', 22, 26],
  ['fish 24 ft', 22, 26],
  ['fish at 15 ft', 13, 17],
  ["caught 3 in 22'", 20, 24],
  ['caught 3 in 22', 20, 24],
  ['caught 3 in 22 ft', 20, 24],
  ['caught two 4 lb fish in 22 ft', 20, 24],
  ['@22', 20, 24],
  ['@ 22', 20, 24],
  ['@22 ft', 20, 24],
  ['fish @8', 6, 10],
  ['holding 20', 18, 22],
  ['holding at 20', 18, 22],
  ['suspended 15', 13, 17],
  ['fish 24', 22, 26],
  ['bass in 24', 22, 26],
  ['school at 30', 28, 32],
  ['3 keepers @ 22', 20, 24],
  ['3 keepers 22 ft', 20, 24],
  ['lost a big one in 22 ft', 20, 24],
  ['5 bites in 18', 16, 20],
  ['fish 21 ft deep', 19, 23],
  ['got bit in 16 ft', 14, 18],
  ['fish 22ish', 20, 24],
  ['fish 12-12 ft', 10, 14],
  ['school 20 ft down', 18, 22],
  ['fish depth 24', 22, 26],
  ["fish at 22' today", 20, 24],
  // The depth of the fish among other numbers.
  ['ledge 12-30, fish 18-22', 18, 22],
  ['ledge 12-30 fish 18-22', 18, 22],
  ['ledge 12-30ft, caught 3 in 22', 20, 24],
  ['fish 18-22 on the 25 ft ledge', 18, 22],
  ['fish 18-22, ledge 12-30 ft', 18, 22],
  ['tops out at 12, fish 18-22', 18, 22],
  ['hump tops out 14 ft; bass 18 to 22 ft', 18, 22],
  ['drops 15 to 35 ft, school at 24', 22, 26],
  ['channel 35 ft deep, bite 18-22', 18, 22],
  ['breaks from 12 to 25; marked fish at 20', 18, 22],
  ['20 ft diver, fish 22-26', 22, 26],
  ['fish 22-26, 20 ft diver', 22, 26],
  ['caught 4 on a 16 ft diver in 14 ft', 12, 16],
  ['3/4 oz spoon, fish 30-34 ft', 30, 34],
  ['12 lb line fish 18-22', 18, 22],
  ['one labeled 8-10 ft; 12-18 ft', 12, 18],
  ['bottom 20-24 ft, fish 12-18 ft', 12, 18],
  ['fish 12-18 ft, boat in 21-23 ft', 12, 18],
  ['boat 21-23 ft; 12-18 ft', 12, 18],
  ['cast 40 yd to 9 ft, fish 12-18', 12, 18],
  ['marked 2024-06-12, fish 12-18 ft', 12, 18],
  ['5/14 fish 22 ft', 20, 24],
  ['10-2-24 fish 12-18', 12, 18],
  ['7:30 am caught 2 in 18 ft', 16, 20],
  ['water temp 70-75, fish 12-18', 12, 18],
  ['72 deg, fish 18-22', 18, 22],
  ['wind 10-15, fish 18-22', 18, 22],
  ['lake 2 ft low, fish 18-22', 18, 22],
  ['6-8 fish in 12-18 ft', 12, 18],
  ['caught 3-5 lb fish 12-18', 12, 18],
  ['stump 3-4 lb caught; 12.0-18.0 feet', 12, 18],
  ['school on ledge 18-22', 18, 22],
  ['bass on top of the hump in 18 ft', 16, 20],
  ['fish on bottom 22-26', 22, 26],
  ["fish 20' over 35'", 18, 22],
  ['drop shot fish 18-22', 18, 22],
  ['depth 24 fish 18-22', 18, 22],
  ['fish 30 ft off the bank in 12 ft', 10, 14],
  ['thermocline 24, fish 18-22', 18, 22],
  ['dropped a tree here, fish 18-22', 18, 22],
];

/** Notes without a depth of the fish, each with the reason why its numbers are not one. */
const NOT_FISH: readonly (readonly [string, LeftReason | undefined])[] = [
  ['', undefined],
  ['stump', undefined],
  // Structure.
  ['ledge 12-30ft', 'structure'],
  ['ledge 12-30', 'structure'],
  ['Ledge: 12-30 ft', 'structure'],
  ['ledge, 12-30 ft', 'structure'],
  ['12-30 ft ledge', 'structure'],
  ['fish on ledge 12-30ft', 'structure'],
  ['caught 2 off ledge 12-30', 'structure'],
  ['drop 12 to 25 ft', 'structure'],
  ['drops from 12 to 25 ft', 'structure'],
  ['20 ft drop', 'structure'],
  ['tops out at 14 ft', 'structure'],
  ['hump tops at 14', 'structure'],
  ['top 12 ft', 'structure'],
  ['comes up to 12 ft', 'structure'],
  ['fish on hump that tops out at 12 ft', 'structure'],
  ['breaks from 12 to 25', 'structure'],
  ['breaks into 25 ft', 'structure'],
  ['channel 35 ft deep', 'structure'],
  ['35 ft channel', 'structure'],
  ['creek channel 25-30 ft', 'structure'],
  ['channel swing 30 ft', 'structure'],
  ['brush 19 ft', 'structure'],
  ["stump in 18'", 'structure'],
  ['roadbed 14 ft', 'structure'],
  ['bass on 18 ft hump', 'structure'],
  ['flat 8-10 ft', 'structure'],
  ['grass to 12 ft', 'structure'],
  ['slopes 10 to 30 ft', 'structure'],
  ['weed edge 14 ft', 'structure'],
  // Ground under the mark.
  ['depth 21', 'ground'],
  ['21 ft deep', 'ground'],
  ['water 22 ft', 'ground'],
  ['bottom 20-24 ft', 'ground'],
  ['suspended over 30 ft', 'ground'],
  ['4 ft off bottom', 'ground'],
  ['fish 3-5 ft off the bottom', 'ground'],
  // Lures and line.
  ['20 ft diver', 'tackle'],
  ['caught 2 on 20 ft diver', 'tackle'],
  ['crank 15-20 ft', 'tackle'],
  ['16 ft crankbait', 'tackle'],
  ['runs 12-15 ft', 'tackle'],
  ['bait running 14 ft', 'tackle'],
  ['3/4 oz', undefined],
  ['caught 2 on 3/4 oz spoon', undefined],
  ['12 lb', undefined],
  ['12-18 lb line', undefined],
  ['12 lb fluoro, 7 ft rod', 'tackle'],
  ['8 ft leader', 'tackle'],
  // Boat, cast and distances.
  ['boat in 25 ft', 'boat'],
  ['sit in 25 ft', 'boat'],
  ['cast to 9 ft', 'boat'],
  ['cast 40-50 yd', undefined],
  ['bass 20 ft off the bank', 'place'],
  ['30 ft north of the stump', 'place'],
  ['15 ft away', 'place'],
  ['200 yds out', undefined],
  ['brush 6 ft tall', 'place'],
  ['20 ft long', 'place'],
  // Dates and times.
  ['5/14-19 ft', undefined],
  ['2024-06-12', undefined],
  ['06-12', undefined],
  ['fish 06-12', undefined],
  ['fish 2024-06-12', undefined],
  ['fish 6/12/2024', undefined],
  ['fish 6-12-2024', undefined],
  ['fish 12 May', undefined],
  ['fish May 12', undefined],
  ['caught 3 on May 14-18', undefined],
  ["caught 3 in '22", undefined],
  ['bass in 2022', undefined],
  ['good bite 5-14', 'unclear'],
  ['12-18', 'unclear'],
  ['7-9 am', undefined],
  ['fish 7-9am', undefined],
  ['fish 7:00-9:00', undefined],
  ['bite 7-9', 'unclear'],
  ['bite at 11', 'unclear'],
  ['bite at 7', undefined],
  ['good bite at 7pm', undefined],
  ['caught 2 @ 6:30', undefined],
  ['caught 2 @ 0630', undefined],
  ['@7', 'unclear'],
  ['fish until 10 am', undefined],
  // Counts, weights, sizes.
  ['caught 6-8 fish', undefined],
  ['caught 22', 'unclear'],
  ['caught 12 bass', undefined],
  ['marked 20 fish', undefined],
  ['3-5 bites', undefined],
  ['18-22 keepers', undefined],
  ['fish 3-4 lb', undefined],
  ['bass 5 lbs', undefined],
  ['fish 14-16 in', undefined],
  ['fish 14-16"', undefined],
  ['20 inch fish', undefined],
  ['limit 14 lb 6 oz', undefined],
  ['4 of 12 casts', undefined],
  ['fish 400-900 ft', undefined],
  // Wind, temperature, level, water color, duration, bearing, numbers of marks.
  ['wind 10-15 mph', undefined],
  ['wind 10-15', undefined],
  ['fish better with NW 10-15 mph', undefined],
  ['temp 70-75 F', undefined],
  ['fish 70-75 F', undefined],
  ['water 72', undefined],
  ['lake 3 ft low', 'place'],
  ['pool 2 ft up', 'place'],
  ['vis 3-4 ft', 'place'],
  ['waves 2-3 ft', 'place'],
  ['thermocline 22 ft', 'place'],
  ['fishing 6-8 hours', undefined],
  ['caught 4 in 20 min', undefined],
  ['bite lasted 20 minutes', undefined],
  ['fish 120 deg from here', undefined],
  ['bearing 040', undefined],
  ['heading 220, fish there', undefined],
  ['waypoint 3-4', undefined],
  ['spot 22', undefined],
  ['#22', undefined],
  ['ch 12-18-22 ft', undefined],
  ['shad 15-20 ft', 'place'],
  ['no fish 12-18 ft', 'no-fish'],
  ['nothing in 22 ft', 'no-fish'],
  ['no bites at 18', 'no-fish'],
  ['fish deeper than 20 ft', 'unclear'],
  ['Unit says 45.12345 -93.2', undefined],
];

describe('readFishNote', () => {
  it.each(FISH)('reads %j as %d to %d ft', (text, top, bottom) => {
    expect(feet(text)).toEqual([top, bottom]);
  });

  it.each(NOT_FISH)('finds no depth of the fish in %j (%s)', (text, reason) => {
    const { band, left } = read(text);
    expect(band).toBeUndefined();
    expect(left?.reason).toBe(reason);
  });

  it.each([
    ['suspended 4.5-6 m', 4.5, 6],
    ['fish 4,5-6 m', 4.5, 6],
    ['4 m to 5.5 meters', 4, 5.5],
    ['3-4 metres', 3, 4],
    ['fish 6m', 6 - 2 * FT, 6 + 2 * FT],
    ['2-3 fathoms', 2 * 1.8288, 3 * 1.8288],
  ])('reads %j in its own unit', (text, top, bottom) => {
    const { band } = read(text);
    expect(band?.top).toBeCloseTo(top, 9);
    expect(band?.bottom).toBeCloseTo(bottom, 9);
  });

  it("uses the user's unit if a depth has none", () => {
    expect(readFishNote(note('fish 4-6'), 'm').band).toEqual({ top: 4, bottom: 6 });
    expect(readFishNote(note('school at 6'), 'm').band?.top).toBeCloseTo(6 - 2 * FT, 9);
  });

  it('looks at the comment, then the description, then the name', () => {
    const all = { description: 'fish 14-16 ft', name: 'fish 20-24 ft' };
    expect(readFishNote(note('fish 10-12 ft', all), 'ft').band?.top).toBeCloseTo(10 * FT, 9);
    expect(readFishNote(note('ledge 12-30 ft', all), 'ft').band?.top).toBeCloseTo(14 * FT, 9);
    expect(readFishNote(note('', { name: 'fish 20-24 ft' }), 'ft').band?.top).toBeCloseTo(20 * FT, 9);
  });

  it('prefers a depth stated for the fish, wherever it is, to an unspecified one', () => {
    expect(readFishNote(note('24 ft', { description: 'bass 14-16' }), 'ft').band?.top).toBeCloseTo(
      14 * FT,
      9,
    );
  });

  it("does not take the number in a mark's name for a depth", () => {
    for (const name of ['Fish 22', 'Bass 14', 'School 30', 'Ledge 8', '22', '22-26', 'HUMP 22'])
      expect(readFishNote(note('', { name }), 'ft').band, name).toBeUndefined();
  });

  it('keeps the words it used, and those it did not', () => {
    expect(read('ledge 12-30ft, fish 18-22')).toMatchObject({
      words: 'fish 18-22',
      left: { words: 'ledge 12-30ft', reason: 'structure', thing: 'ledge' },
    });
    expect(read('channel 35 ft deep').left).toMatchObject({ words: 'channel 35 ft', thing: 'channel' });
    expect(read('12-18').left).toMatchObject({ words: '12-18', reason: 'unclear' });
  });

  it('never reads our own summary, whether whole, cut short, in capitals or without its brackets', () => {
    const summary = '[ds: Ledge 71%, 14ft, slope 8deg to 214M; fish 14-19ft]';
    for (const text of [summary, summary.toUpperCase(), summary.slice(1, -1), `stump ${summary}`]) {
      expect(read(text), text).toEqual({});
      for (let length = 4; length < text.length; length++)
        expect(read(text.slice(0, length)).band, text.slice(0, length)).toBeUndefined();
      expect(readFishNote(note('', { description: text }), 'ft')).toEqual({});
    }
    expect(feet(`${summary} fish 20-24`)).toEqual([20, 24]);
    expect(feet('Boat 25ft, cast 214M 48yd to 9ft, 18ft diver, on bottom 11-19ft')).toBeUndefined();
  });
});

const depth = fc.integer({ min: 3, max: 60 });
const pick = <T>(...values: readonly T[]) => fc.constantFrom(...values);
const range = fc
  .tuple(
    depth,
    fc.integer({ min: 1, max: 20 }),
    pick('-', ' - ', ' to ', '\u2013', '..'),
    pick('', ' ft', 'ft', "'", '\u2032', ' feet'),
  )
  .map(([from, more, join, unit]) => `${from}${join}${from + more}${unit}`);
const amount = fc.oneof(
  range,
  fc.tuple(depth, pick(' ft', 'ft', "'", ' feet')).map(([value, unit]) => `${value}${unit}`),
);
const structure = pick(
  'ledge',
  'Ledge',
  'channel',
  'hump',
  'point',
  'roadbed',
  'flat',
  'bar',
  'creek',
  'ditch',
  'drop',
  'brush',
  'stump',
  'ridge',
);
const fishFirst = pick('', 'bass here. ', 'caught 3; ', 'good bite; ');

/** Texts with numbers that are never a depth of fish. */
const HARMLESS: Readonly<Record<string, fc.Arbitrary<string>>> = {
  structure: fc.oneof(
    fc.tuple(fishFirst, structure, amount).map(([before, word, text]) => `${before}${word} ${text}`),
    fc
      .tuple(
        structure,
        pick('tops out at', 'comes up to', 'drops to', 'breaks from', 'falls from', 'rises to'),
        amount,
      )
      .map((parts) => parts.join(' ')),
    fc.tuple(depth, pick(' ft ', ' foot ', "' "), structure).map((parts) => parts.join('')),
  ),
  lures: fc.oneof(
    fc
      .tuple(
        fishFirst,
        depth,
        pick(' ft diver', ' ft crankbait', "' diver", ' lb line', ' lb fluoro', ' lb test'),
      )
      .map((parts) => parts.join('')),
    fc
      .tuple(pick('caught 2 on ', 'bass on '), depth, pick(' ft diver', ' lb braid'))
      .map((parts) => parts.join('')),
    fc.tuple(pick('crank ', 'diver ', 'lure runs ', 'bait running '), amount).map((parts) => parts.join('')),
    fc
      .tuple(
        pick('', 'fish on ', 'caught 4 on '),
        pick('1/2', '3/4', '3/8', '5/8'),
        pick(' oz', 'oz', ' ounce jig'),
      )
      .map((parts) => parts.join('')),
  ),
  dates: fc
    .tuple(
      pick('', 'fish ', 'caught 3 ', 'bass ', 'school '),
      fc.integer({ min: 1, max: 12 }),
      fc.integer({ min: 1, max: 28 }),
      fc.integer({ min: 20, max: 27 }),
      pick(0, 1, 2, 3, 4, 5),
    )
    .map(([before, month, day, year, form]) => {
      const two = (value: number) => String(value).padStart(2, '0');
      const name = [
        'Jan',
        'February',
        'Mar',
        'April',
        'May',
        'jun',
        'July',
        'Aug',
        'Sept',
        'Oct',
        'NOV',
        'Dec',
      ][month - 1];
      return (
        before +
        [
          `20${year}-${two(month)}-${two(day)}`,
          `${month}/${day}/${year}`,
          `${month}/${day}`,
          `${month}-${day}-20${year}`,
          `${name} ${day}`,
          `${day} ${name}`,
        ][form]
      );
    }),
  times: fc
    .tuple(
      pick('', 'fish ', 'bite ', 'caught 3 ', 'school ', 'bass at ', 'caught 2 @ '),
      fc.integer({ min: 1, max: 12 }),
      fc.integer({ min: 10, max: 59 }),
      pick(0, 1, 2, 3, 4, 5),
    )
    .map(
      ([before, hour, minute, form]) =>
        before +
        [
          `${hour}:${minute}`,
          `${hour} am`,
          `${hour}-${hour + 1}pm`,
          `${hour}:${minute}-${hour + 1}:${minute}`,
          `for ${minute} min`,
          `${hour}-${hour + 2} hours`,
        ][form],
    ),
  counts: fc.oneof(
    fc
      .tuple(
        pick('caught ', 'marked ', 'lost ', 'got ', ''),
        fc.integer({ min: 1, max: 40 }),
        pick(' fish', ' bass', ' keepers', ' bites', ' good fish', ' smallmouth', ' casts'),
      )
      .map((parts) => parts.join('')),
    fc
      .tuple(
        pick('caught ', 'marked ', ''),
        fc.integer({ min: 1, max: 20 }),
        pick('-', ' to '),
        pick(' fish', ' bass', ' keepers', ' bites', ' lb', ' pounders', ' in', '"'),
      )
      .map(([before, from, join, after]) => `${before}${from}${join}${from + 2}${after}`),
    fc.integer({ min: 1, max: 40 }).map((count) => `caught ${count}`),
  ),
};

describe('numbers that are never the depth of fish', () => {
  it.each(Object.entries(HARMLESS))('%s', (_, texts) => {
    fc.assert(
      fc.property(texts, (text) => {
        expect(read(text).band, text).toBeUndefined();
      }),
      { numRuns: 1000, seed: 16 },
    );
  });

  it.each(Object.entries(HARMLESS))('a depth of the fish is read next to %s', (_, texts) => {
    fc.assert(
      fc.property(texts, depth, fc.boolean(), (text, top, isFirst) => {
        const fish = `fish ${top}-${top + 4} ft`;
        expect(feet(isFirst ? `${fish}; ${text}` : `${text}; ${fish}`), text).toEqual([top, top + 4]);
      }),
      { numRuns: 1000, seed: 17 },
    );
  });
});

describe('any text', () => {
  it('gives a band with top above bottom, or none', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 200, unit: 'binary' }), (text) => {
        const { band } = read(text);
        if (band === undefined) return;
        expect(band.top).toBeGreaterThanOrEqual(0);
        expect(band.top).toBeLessThan(band.bottom);
      }),
    );
  });
});
