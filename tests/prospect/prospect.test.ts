import { describe, expect, test } from 'vitest';
import { randomIndex, seededRandom } from '../../shared/math/random.ts';
import { fishCountOf } from '../../shared/prospect/fish-count.ts';
import { isStructure, measurerOf } from '../../shared/prospect/places.ts';
import { type Known, prospect } from '../../shared/prospect/prospect.ts';
import { readFishNote } from '../../shared/text/fish-note.ts';
import { patternSentences, proposedText, tooFewPlaces } from '../../shared/text/messages/prospect.ts';
import { formatProposedGpx, proposedAmong, proposedEntries } from '../../src/formats/gpx/proposed-gpx.ts';
import { readGpx } from '../../src/formats/gpx/read-gpx.ts';
import { at, madeGrid } from './made-grid.ts';

const FORMS = 7;
const APART = 180;
/** Humps and holes in turn on ground that falls gently; humps are where `(column + row)` is even. */
const centers = Array.from({ length: FORMS * FORMS }, (_, i) => ({
  east: APART * (0.5 + (i % FORMS)),
  north: APART * (0.5 + Math.floor(i / FORMS)),
  isHump: ((i % FORMS) + Math.floor(i / FORMS)) % 2 === 0,
}));
const grid = madeGrid((east, north) => {
  const form = centers.reduce((sum, center) => {
    const square = (east - center.east) ** 2 + (north - center.north) ** 2;
    return sum + (center.isHump ? -3 : 3) * Math.exp(-square / (2 * 20 ** 2));
  }, 0);
  return 10 + east / 400 + form;
}, APART * FORMS);
const humps = centers.filter(({ isHump }) => isHump);
const markAt = (east: number, north: number, i: number, hasFish = true): Known => {
  const [lat, lon] = at(grid, east, north);
  return { name: `M${i}`, lat, lon, hasFish };
};
const OPTIONS = { places: 10, apart: 40, any: false };

describe('places like the marks with fish', () => {
  const marks = humps.slice(0, 10).map(({ east, north }, i) => markAt(east, north, i));
  const found = prospect(grid, marks, OPTIONS);

  test('fish on ten humps: the pattern is said, and the other humps are proposed', () => {
    expect(found.asWell).toBeLessThanOrEqual(5);
    expect(found.pattern?.met).toBeGreaterThanOrEqual(8);
    expect(found.pattern?.share).toBeLessThan(0.2);
    const onHump = found.places.filter(({ lat, lon }) => {
      const [east, north] = grid.frame.toLocal(lat, lon);
      return humps.slice(10).some((hump) => Math.hypot(hump.east - east, hump.north - north) <= 25);
    });
    expect(found.places).toHaveLength(10);
    expect(onHump.length).toBeGreaterThanOrEqual(9);
  });

  test('proposed places are away from marks and from each other', () => {
    const places = [...marks, ...found.places].map(({ lat, lon }) => grid.frame.toLocal(lat, lon));
    for (const [i, [e, n]] of places.entries())
      for (const [east, north] of places.slice(0, i))
        expect(Math.hypot(e - east, n - north)).toBeGreaterThan(39.9);
  });

  test('the same marks give the same answer', () => {
    expect(prospect(grid, marks, OPTIONS)).toEqual(found);
  });

  test('each mark is left out in turn, and most are found again', () => {
    expect(found.pattern?.leftOut).toBe(10);
    expect(found.pattern?.foundAgain).toBeGreaterThanOrEqual(7);
  });

  test('marks that are four separate places are too few, however many they are', () => {
    const clumped = humps
      .slice(0, 4)
      .flatMap(({ east, north }, c) =>
        Array.from({ length: 5 }, (_, i) => markAt(east + 8 * i - 16, north, 5 * c + i)),
      );
    const few = prospect(grid, clumped, OPTIONS);
    expect([few.separate, few.pattern, few.places]).toEqual([4, undefined, []]);
    expect(tooFewPlaces(20, 4, 5).message).toMatch(
      /^No places proposed: your 20 marks with fish are 4 separate places; too few to tell/,
    );
  });

  test('marks at random on structure show nothing in most cases, and --any then lists structure, surest first', () => {
    const places = measurerOf(grid, grid.depth)([...grid.depth.keys()].filter((k) => k % 7 === 0));
    const structure = [...places.node.entries()]
      .filter(([i]) => isStructure(places.word[i]))
      .map(([, node]) => node);
    const random = seededRandom(7);
    const runs = Array.from({ length: 4 }, () => {
      const marks = Array.from({ length: 10 }, (_, i) => {
        const node = structure[randomIndex(random, structure.length)];
        return markAt(grid.cell * (node % grid.columns), grid.cell * Math.floor(node / grid.columns), i);
      });
      return prospect(grid, marks, { ...OPTIONS, any: true });
    });
    const silent = runs.filter(({ pattern }) => pattern === undefined);
    expect(silent.length).toBeGreaterThanOrEqual(3);
    const sure = silent[0].places.map((place) => place.sure);
    expect(sure).toHaveLength(10);
    expect(sure).toEqual(sure.toSorted((a, b) => b - a));
  });

  test('a mark off the sounded water is named and left out', () => {
    expect(prospect(grid, [{ name: 'FAR', lat: 38, lon: -86, hasFish: true }], OPTIONS).unsounded).toEqual([
      'FAR',
    ]);
  });
});

describe('what is said', () => {
  test('the sentence counts what can be checked, and promises nothing', () => {
    const said = patternSentences(
      {
        fish: 40,
        met: 23,
        blanks: 2,
        metBlanks: 0,
        share: 0.017,
        asWell: 1,
        foundAgain: 30,
        leftOut: 40,
        conditions: [
          { family: 'lip', from: -Infinity, to: 12.192 },
          { family: 'face', from: 12, to: Infinity },
        ],
      },
      'ft',
    );
    expect(said[0]).toBe(
      '23 of 40 marks with fish are within 40 ft of the lip of a ledge and on or beside a face of 12+ deg; 1.7 % of the sounded water is.',
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
  ])('%s counts %s', (note, count) => {
    expect(fishCountOf(note)).toBe(count);
  });
});

describe('proposed places in GPX', () => {
  const description = proposedText(
    { word: 'ledge', isMet: true, sure: 0.8 },
    [{ family: 'depth', from: 4, to: 6 }],
    'ft',
  );
  const places = [{ name: 'N1 <&>', lat: 37.0012345, lon: -86.0012345, description }];

  test('they say what they are, markup is escaped, and no fish depth is read from them', () => {
    const document = readGpx(new TextEncoder().encode(formatProposedGpx(places)), 'n.gpx');
    expect(document.waypoints[0].name).toBe('N1 <&>');
    expect(document.waypoints[0].description).toMatch(/^Proposed place, never seen fish/);
    expect(readFishNote(document.waypoints[0], 'ft')).toEqual({});
  });

  test('one that comes back from a unit without its texts is known by the ledger, one beside it is not', () => {
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
