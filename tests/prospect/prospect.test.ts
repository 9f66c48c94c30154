import { describe, expect, test } from 'vitest';
import { randomIndex, seededRandom } from '../../shared/math/statistics.ts';
import { fishCountOf } from '../../shared/prospect/fish-count.ts';
import { lakePlaces } from '../../shared/prospect/lake-places.ts';
import { isStructure } from '../../shared/prospect/places.ts';
import { type Known, prospect } from '../../shared/prospect/prospect.ts';
import { readFishNote, withoutOwnSummary } from '../../shared/text/fish-note.ts';
import { fishNoteText } from '../../shared/text/messages/fish.ts';
import {
  patternSentences,
  proposedComment,
  proposedText,
  prospectMessages as says,
} from '../../shared/text/messages/prospect.ts';
import { formatProposedGpx, proposedAmong, proposedEntries } from '../../src/formats/gpx/proposed-gpx.ts';
import { readGpx } from '../../src/formats/gpx/read-gpx.ts';
import { at, madeLake } from './made-lake.ts';

const FORMS = 7;
const APART = 130;
/** Humps and holes alternate on gently sloping ground; a form is a hump where column + row is even. */
const centers = Array.from({ length: FORMS * FORMS }, (_, i) => ({
  east: APART * (0.5 + (i % FORMS)),
  north: APART * (0.5 + Math.floor(i / FORMS)),
  isHump: ((i % FORMS) + Math.floor(i / FORMS)) % 2 === 0,
}));
const model = madeLake((east, north) => {
  const form = centers.reduce((sum, center) => {
    const square = (east - center.east) ** 2 + (north - center.north) ** 2;
    return sum + (center.isHump ? -3 : 3) * Math.exp(-square / (2 * 20 ** 2));
  }, 0);
  return 10 + east / 400 + form;
}, APART * FORMS);
const { grid } = model;
const lake = lakePlaces(model, 300);
const humps = centers.filter(({ isHump }) => isHump);
const markAt = (east: number, north: number, i: number, hasFish = true): Known => {
  const [lat, lon] = at(grid, east, north);
  return { name: `M${i}`, lat, lon, hasFish };
};
const OPTIONS = { places: 10, apart: 40, any: false };

describe('places like the marks with fish', () => {
  const marks = humps.slice(0, 10).map(({ east, north }, i) => markAt(east, north, i));
  const found = prospect(model, marks, OPTIONS, lake);

  test('with fish on ten humps the pattern is found, and the other humps are proposed', () => {
    expect(found.chanceTest.asWell).toBeLessThanOrEqual(5);
    expect(found.pattern?.met).toBeGreaterThanOrEqual(8);
    expect(found.pattern?.share).toBeLessThan(0.2);
    const onHump = found.places.filter(({ lat, lon }) => {
      const [east, north] = grid.frame.toLocal(lat, lon);
      return humps.slice(10).some((hump) => Math.hypot(hump.east - east, hump.north - north) <= 25);
    });
    expect(found.places).toHaveLength(10);
    expect(onHump.length).toBeGreaterThanOrEqual(9);
  });

  test('proposed places are far from marks and from each other', () => {
    const places = [...marks, ...found.places].map(({ lat, lon }) => grid.frame.toLocal(lat, lon));
    for (const [i, [e, n]] of places.entries())
      for (const [east, north] of places.slice(0, i))
        expect(Math.hypot(e - east, n - north)).toBeGreaterThan(39.9);
  });

  test('the same marks give the same result', () => {
    expect(prospect(model, marks, OPTIONS, lake)).toEqual(found);
  });

  test('each mark is left out in turn, and most are found again', () => {
    expect(found.pattern?.leftOut).toBe(10);
    expect(found.pattern?.foundAgain).toBeGreaterThanOrEqual(7);
  });

  test('many marks at only four separate places are too few', () => {
    const clumped = humps
      .slice(0, 4)
      .flatMap(({ east, north }, c) =>
        Array.from({ length: 5 }, (_, i) => markAt(east + 8 * i - 16, north, 5 * c + i)),
      );
    const few = prospect(model, clumped, OPTIONS, lake);
    expect([few.chanceTest.separate, few.pattern, few.places]).toEqual([4, undefined, []]);
    expect(says['too-few'](undefined, 20, 4, 5, false, 0).message).toMatch(
      /^No places are proposed: your 20 marks with fish on water that your sonar covered are only 4 separate places/,
    );
  });

  test('random marks on structure show no pattern in most cases, and --any then lists structure, surest first', () => {
    const { background } = lake;
    const structure = [...background.node].filter((_, i) => isStructure(background.word[i]));
    const random = seededRandom(7);
    const runs = Array.from({ length: 4 }, () => {
      const marks = Array.from({ length: 10 }, (_, i) => {
        const node = structure[randomIndex(random, structure.length)];
        return markAt(grid.cell * (node % grid.columns), grid.cell * Math.floor(node / grid.columns), i);
      });
      return prospect(model, marks, { ...OPTIONS, any: true }, lake);
    });
    const silent = runs.filter(({ pattern }) => pattern === undefined);
    expect(silent.length).toBeGreaterThanOrEqual(3);
    const sure = silent[0].places.map((place) => place.sure);
    expect(sure).toHaveLength(10);
    expect(sure).toEqual(sure.toSorted((a, b) => b - a));
  });

  test('a mark off the sounded water is named and left out', () => {
    expect(
      prospect(model, [{ name: 'FAR', lat: 38, lon: -86, hasFish: true }], OPTIONS, lake).unsounded,
    ).toEqual(['FAR']);
  });
});

describe('messages', () => {
  test('the sentence gives counts that the user can check, and promises nothing', () => {
    const said = patternSentences(
      {
        fish: 12,
        met: 9,
        blanks: 8,
        metBlanks: 2,
        share: 0.017,
        asWell: 1,
        foundAgain: 10,
        leftOut: 12,
        conditions: [
          { family: 'depth', from: 4.572, to: 6.096 },
          { family: 'word', name: 'point' },
        ],
      },
      'ft',
    );
    expect(said[0]).toBe(
      '9 of your 12 marks with fish are on a point in 15-20 ft; of your 8 blanks 2 are. About 2 % of the water that your sonar covered is like that.',
    );
    expect(said.join(' ')).not.toMatch(/because|likely|probab/i);
  });

  test.each([
    ['caught 3 in 22', 3],
    ['five bass on the lip', 5],
    ['no fish', 0],
    ['blanked', 0],
    ['22 ft fish', undefined],
    ['fish 18-22', undefined],
    ['caught 4 lb on crank', undefined],
    ['ledge 12-30ft', undefined],
  ])('the note "%s" gives a count of %s', (note, count) => {
    expect(fishCountOf(note)).toBe(count);
  });
});

describe('proposed places in GPX', () => {
  const place = {
    word: 'ledge',
    isMet: true,
    sure: 0.8,
    alike: ['C4', 'C7'],
    fish: { top: 18 * 0.3048, bottom: 22 * 0.3048 },
  };
  const counted = {
    fish: 12,
    met: 9,
    blanks: 0,
    metBlanks: 0,
    conditions: [{ family: 'depth', from: 4.572, to: 6.096 }],
  };
  const comment = proposedComment(place, 'ft');
  const description = proposedText(place, counted, 'ft');
  const places = [{ name: 'N1 <&>', lat: 37.0012345, lon: -86.0012345, comment, description }];

  test('say what they are, what they resemble and what was counted; markup is escaped', () => {
    const document = readGpx(new TextEncoder().encode(formatProposedGpx(places)), 'n.gpx');
    expect(document.waypoints[0].name).toBe('N1 <&>');
    expect(document.waypoints[0].comment).toBe(
      'Proposed place, not fished: like C4, C7. Fish there 18-22 ft.',
    );
    expect(document.waypoints[0].description).toBe(
      'Proposed place, not fished: like C4 and C7; in 15-20 ft (80 % sure from your sonar); 9 of your 12 marks with fish are too.',
    );
  });

  test('say how they stand to the pattern and the blanks', () => {
    const textOf = (isMet: boolean, blanks: number, metBlanks: number) =>
      proposedText({ ...place, isMet }, { ...counted, blanks, metBlanks }, 'ft');
    expect(textOf(true, 8, 0)).toMatch(/; 9 of your 12 marks with fish are too; of your 8 blanks none is\.$/);
    expect(textOf(true, 1, 1)).toMatch(/ are too; your only blank is too\.$/);
    expect(textOf(false, 8, 0)).toMatch(
      /; similar in other ways, but it does not fit the pattern of 9 of your 12 marks with fish: in 15-20 ft\.$/,
    );
    expect(proposedText({ ...place, alike: [] }, undefined, 'ft')).toBe(
      'Proposed place, not fished: ledge (80 % sure from your sonar); not compared with marks.',
    );
  });

  test('have the fish depth of the marks they resemble, described as such', () => {
    const note = readFishNote({ comment, description, name: 'N1' }, 'ft');
    expect(note.band?.top).toBeCloseTo(18 * 0.3048);
    expect(fishNoteText(note, { band: note.band!, source: 'note' }, true, 'ft')).toMatch(
      /^Fish 18-22 ft, from your notes at the marks that this place resembles/,
    );
  });

  test("the user's text counts as a note, and the program's text never does", () => {
    expect(fishCountOf(withoutOwnSummary(comment))).toBeUndefined();
    expect(fishCountOf(withoutOwnSummary(description))).toBeUndefined();
    expect(fishCountOf(withoutOwnSummary(`${comment} caught 3`))).toBe(3);
  });

  test('are recognized by their record after a chartplotter drops their texts, but a mark next to one is not', () => {
    const bare = (name: string, lat: number) => ({
      name,
      lat,
      lon: -86.00123,
      comment: '',
      description: '',
      type: '',
    });
    const back = [bare('N1 <&>', 37.00123), bare('LEDGE', 37.00123), bare('N1 <&>', 37.1)];
    expect([...proposedAmong(back, proposedEntries(places))]).toEqual([back[0]]);
  });
});
