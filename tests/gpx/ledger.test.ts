import { describe, expect, test } from 'vitest';
import { enrichGpx } from '../../src/formats/gpx/enrich-gpx.ts';
import type { GpxDocument, WaypointAddition } from '../../src/formats/gpx/gpx-document.ts';
import type { LedgerEntry } from '../../src/formats/gpx/match-ledger.ts';
import { additionsFor, gpx11, NO_LIMITS, read, text } from './helpers.ts';

const WAYPOINT = /\s*<wpt [\s\S]*?<\/wpt>/g;
const count = (content: string): number => content.match(WAYPOINT)?.length ?? 0;

/** Thirty marks at least 100 m apart, with names that become equal when cut. */
const LAKE = gpx11(
  Array.from(
    { length: 30 },
    (_, k) =>
      `  <wpt lat="${(45.1 + 0.0011 * Math.floor(k / 6)).toFixed(5)}" lon="${(-93.2 - 0.0013 * (k % 6)).toFixed(5)}">\n    <name>Long ledge ${k + 1}</name>\n    <cmt>fish ${14 + (k % 5)}-19 ft</cmt>\n    <sym>Flag</sym>\n  </wpt>\n`,
  ).join(''),
);

/** Returns the additions of another evening, with boat positions shifted north by `shift` deg. */
const shifted = (document: GpxDocument, shift: number): WaypointAddition[] =>
  additionsFor(document).map((addition) => ({
    ...addition,
    partners: addition.partners.map((partner) => ({ ...partner, lat: partner.lat + shift })),
  }));

function run(content: string, given: readonly LedgerEntry[], shift = 0) {
  const document = read(content, { given });
  const made = enrichGpx(document, shifted(document, shift), NO_LIMITS);
  return { document, made, text: text(made.parts[0].bytes) };
}

const first = run(LAKE, []);
const given = first.made.given;

const drop =
  (local: string) =>
  (content: string): string =>
    content.replace(new RegExp(`\\s*<${local}>[\\s\\S]*?</${local}>`, 'g'), '');
const names =
  (change: (name: string, k: number) => string) =>
  (content: string): string => {
    let k = 0;
    return content.replace(
      /<name>([^<]*)<\/name>/g,
      (_, name: string) => `<name>${change(name, k++)}</name>`,
    );
  };
const round =
  (decimals: number) =>
  (content: string): string =>
    content.replace(
      /(lat|lon)="([^"]*)"/g,
      (_, name: string, value: string) => `${name}="${Number(value).toFixed(decimals)}"`,
    );
const reverse = (content: string): string => {
  const elements = content.match(WAYPOINT) ?? [];
  let next = elements.length;
  return content.replace(WAYPOINT, () => elements[--next]);
};
const mirror = (content: string): string =>
  content.replace(/<cmt>([^<]*)<\/cmt>/g, (whole, comment: string) => `${whole}<desc>${comment}</desc>`);
const unique =
  (length: number) =>
  (content: string): string => {
    const seen = new Map<string, number>();
    return names((name) => {
      const cut = name.slice(0, length);
      const before = seen.get(cut) ?? 0;
      seen.set(cut, before + 1);
      return before === 0 ? cut : `${cut.slice(0, length - String(before).length)}${before}`;
    })(content);
  };
const symbols = (content: string): string => content.replace(/<\/name>/g, '</name><sym>Waypoint</sym>');
const all =
  (...steps: readonly ((content: string) => string)[]) =>
  (content: string): string =>
    steps.reduce((now, step) => step(now), content);
const bare = all(drop('extensions'), drop('type'), drop('cmt'));

const UNITS: readonly (readonly [string, (content: string) => string])[] = [
  ['that changes nothing', (content) => content],
  ['that drops extensions', drop('extensions')],
  ['that drops extensions and types', all(drop('extensions'), drop('type'))],
  ['that drops all but names and places', bare],
  ['that cuts names to 8 and makes them unique', all(bare, unique(8))],
  ['that cuts names to 10 and makes them unique', all(drop('extensions'), drop('type'), unique(10))],
  [
    'that cuts names to 12, in capitals',
    all(
      bare,
      unique(12),
      names((name) => name.toUpperCase()),
    ),
  ],
  [
    'that cuts names to 30',
    all(
      bare,
      names((name) => name.slice(0, 30)),
    ),
  ],
  [
    'that numbers all waypoints',
    all(
      bare,
      names((_, k) => String(k + 1).padStart(3, '0')),
    ),
  ],
  ['with 6 decimals', all(bare, round(6))],
  ['with 5 decimals', all(bare, round(5))],
  ['with 4 decimals', all(bare, round(4))],
  ['that shuffles', all(bare, reverse)],
  ['that mirrors comments into descriptions', all(drop('extensions'), mirror)],
  ['that sets its own symbol', all(bare, symbols)],
  [
    'that does everything at once',
    all(
      bare,
      unique(10),
      names((name) => name.toUpperCase()),
      round(5),
      reverse,
    ),
  ],
];

describe.each(UNITS)('back from a chartplotter %s', (_, unit) => {
  const returned = unit(first.text);

  test.each([
    ['the same soundings', 0],
    ['new soundings', 0.0002],
  ])('with %s, no boat position becomes a mark and no mark is lost', (_evening, shift) => {
    const again = run(returned, given, shift);
    const marks = again.document.waypoints.filter(({ partner }) => partner === undefined);
    expect(marks).toHaveLength(30);
    expect(count(again.text)).toBe(90);
  });

  test('comments and descriptions hold only notes on fish by the user, never our summary', () => {
    for (const { partner, comment, description } of run(returned, given).document.waypoints) {
      if (partner !== undefined) continue;
      expect(comment).toMatch(/^(fish 1[4-8]-19 ft)?$/);
      expect(description).toMatch(/^(fish 1[4-8]-19 ft)?$/);
    }
  });
});

/** Returns the waypoint element nearest to a position. */
function elementAt(content: string, { lat, lon }: { readonly lat: number; readonly lon: number }): string {
  const away = (element: string): number => {
    const [, elementLat, elementLon] = /lat="([^"]*)" lon="([^"]*)"/.exec(element) ?? [];
    return Math.hypot(Number(elementLat) - lat, Number(elementLon) - lon);
  };
  const elements = content.match(WAYPOINT) ?? [];
  return elements.reduce((best, element) => (away(element) < away(best) ? element : best));
}

/** Edits the waypoint at the k-th boat position that was written. */
function editBoat(content: string, k: number, edit: (element: string) => string): string {
  const element = elementAt(content, given[k]);
  return content.replace(element, edit(element));
}

const withNote = (element: string): string =>
  element.includes('<cmt>')
    ? element.replace('</cmt>', ' stump 20 ft left</cmt>')
    : element.replace('</name>', '</name><cmt>stump 20 ft left</cmt>');
const withSymbol = (element: string): string =>
  element.includes('<sym>')
    ? element.replace(/<sym>[^<]*/, '<sym>Skull')
    : element.replace('</name>', '</name><sym>Skull</sym>');
const moved = (element: string): string =>
  element.replace(/lat="([^"]*)"/, (_, lat: string) => `lat="${(Number(lat) + 0.00018).toFixed(7)}"`);

/** Chartplotters after which nothing proves that a moved waypoint was a boat position. */
const NAMELESS = /cuts names to (8|12)|numbers all|everything/;

describe.each(UNITS)('edited on a chartplotter %s', (kind, unit) => {
  test.each([
    ['the same soundings', 0],
    ['new soundings', 0.0002],
  ])(
    'with %s, a note and a symbol move to the new boat position, and a moved boat position stays',
    (_evening, shift) => {
      const edited = editBoat(editBoat(unit(first.text), 4, withNote), 9, withSymbol);
      const returned = editBoat(edited, 14, moved);
      const again = run(returned, given, shift);
      expect(count(again.text)).toBe(90);
      expect(again.text.match(/stump 20 ft left/g)).toHaveLength(1);
      expect(again.text.match(/<sym>Skull<\/sym>/g)).toHaveLength(1);
      for (const [k, edit] of [
        [4, 'stump 20 ft left'],
        [9, '<sym>Skull</sym>'],
      ] as const)
        expect(elementAt(again.text, { ...given[k], lat: given[k].lat + shift })).toContain(edit);
      const place = /lat="[^"]*" lon="[^"]*"/.exec(moved(elementAt(edited, given[14])))![0];
      expect(again.text).toContain(place);
      expect(again.document.diagnostics.map(({ code }) => code)).toEqual([
        NAMELESS.test(kind) ? 'gpx/boat-maybe-moved' : 'gpx/boat-moved',
      ]);
      expect(run(again.text, [...given, ...again.made.given], shift).text).toBe(again.text);
    },
  );
});

describe('a file of marks alone', () => {
  const marksOf = ({ document }: ReturnType<typeof run>): string[] =>
    document.waypoints.filter(({ partner }) => partner === undefined).map(({ name }) => name);
  const withMark = (name: string, { lat, lon }: LedgerEntry): string =>
    LAKE.replace('</gpx>', `  <wpt lat="${lat}" lon="${lon}"><name>${name}</name></wpt>\n</gpx>`);

  test.each([
    ['Long led2', 7],
    ['Long led2', 4],
    ['003', 4],
    ['003', 7],
    ['', 4],
  ])(
    'keeps a mark without text that is named "%s" and lies on a boat position, %i decimals',
    (name, decimals) => {
      expect(marksOf(run(round(decimals)(withMark(name, given[0])), given))).toHaveLength(31);
    },
  );

  test('keeps an enriched mark where the boat position of another mark was deleted', () => {
    const evening = run(withMark('Long led2', given[0]), []);
    const deleted = new RegExp(`<wpt [^>]*>\\s*<name>${given[0].name}</name>[\\s\\S]*?</wpt>`);
    const back = bare(evening.text.replace(deleted, ''));
    expect(count(back)).toBe(count(evening.text) - 1);
    expect(marksOf(run(back, evening.made.given))).toHaveLength(31);
  });

  test('keeps a mark that is named as a unit may name the boat position of its neighbor, every evening', () => {
    const pair = gpx11(
      '<wpt lat="45.1000" lon="-93.2000"><name>LEDGE</name></wpt><wpt lat="45.1002" lon="-93.2000"><name>LEDGE2</name></wpt>',
    );
    let before: readonly LedgerEntry[] = [];
    for (const shift of [0, 0, -0.0001]) {
      const evening = run(pair, before, shift);
      expect(marksOf(evening)).toEqual(['LEDGE', 'LEDGE2']);
      before = [...before, ...evening.made.given];
    }
  });
});

describe("the user's own content stays", () => {
  test('on a chartplotter that numbers all waypoints, a mark added where a boat position was deleted stays a mark, and the doubt is reported', () => {
    const unit = UNITS.find(([kind]) => kind === 'that numbers all waypoints')![1];
    const deleted = editBoat(unit(first.text), 14, () => '');
    const { lat, lon } = given[14];
    const own = `  <wpt lat="${(lat + 0.0004).toFixed(7)}" lon="${lon.toFixed(7)}"><name>091</name></wpt>\n</gpx>`;
    const again = run(deleted.replace('</gpx>', own), given);
    expect(count(again.text)).toBe(93);
    const said = again.document.diagnostics.map(({ code, message }) => `${code}: ${message}`);
    expect(said).toEqual([
      expect.stringContaining('gpx/boat-maybe-moved: This waypoint is taken as your own mark'),
    ]);
  });

  test('a mark added while no boat position is missing stays a mark, and nothing is reported', () => {
    const unit = UNITS.find(([kind]) => kind === 'that numbers all waypoints')![1];
    const own = `  <wpt lat="45.1003000" lon="-93.2000000"><name>091</name></wpt>\n</gpx>`;
    const again = run(unit(first.text).replace('</gpx>', own), given);
    expect(count(again.text)).toBe(93);
    expect(again.document.diagnostics).toEqual([]);
  });

  test.each([0, 5, 12, 25, 60, 100])(
    'a mark with the name of a boat position, %i m from it, is never removed',
    (meters) => {
      const boat = given[0];
      const own = `  <wpt lat="${(boat.lat + meters / 111_195).toFixed(7)}" lon="${boat.lon.toFixed(7)}"><name>${boat.name}</name><cmt>my brush pile</cmt></wpt>\n</gpx>`;
      const content = LAKE.replace('</gpx>', own);
      for (const known of [[], given]) {
        const { text: once, made } = run(content, known);
        expect(once).toContain('my brush pile');
        expect(count(once)).toBe(93);
        for (const unit of [
          (xml: string) => xml,
          drop('extensions'),
          all(drop('extensions'), drop('type')),
        ]) {
          const again = run(unit(once), [...known, ...made.given], 0.0002);
          expect(again.text).toContain('my brush pile');
          expect(count(again.text)).toBe(93);
        }
      }
    },
  );

  test.each([
    ['comment', (xml: string) => xml.replace(/(<cmt>Boat 25ft[^<]*)/, '$1 stump 20 ft left')],
    [
      'description',
      (xml: string) => xml.replace(/(<cmt>Boat 25ft[^<]*<\/cmt>)/, '$1<desc>stump 20 ft left</desc>'),
    ],
  ])('a note in the %s of a boat position moves to the new boat position', (_, edit) => {
    const edited = edit(drop('extensions')(first.text));
    const again = run(edited, given, 0.0002);
    expect(count(again.text)).toBe(90);
    expect(again.text.match(/stump 20 ft left/g)).toHaveLength(1);
    expect(again.made.diagnostics.map(({ code }) => code)).toContain('gpx/boat-edited');
    const third = run(again.text, [...given, ...again.made.given], 0.0002);
    expect(third.text).toBe(again.text);
  });

  test("a symbol chosen by the user moves to the new boat position; the chartplotter's default symbol does not", () => {
    let k = 0;
    const edited = symbols(drop('extensions')(first.text)).replace(/Waypoint<\/sym>/g, (whole) =>
      k++ === 1 ? 'Skull</sym>' : whole,
    );
    const again = run(edited, given, 0.0002);
    expect(again.text.match(/<sym>Skull<\/sym>/g)).toHaveLength(1);
    expect(count(again.text)).toBe(90);
  });

  test('a renamed boat position becomes a mark with boat positions of its own', () => {
    const renamed = drop('extensions')(first.text).replace('<name>Long ledge 3 D<', '<name>Stump row<');
    const again = run(renamed, given, 0.0002);
    expect(again.text).toContain('<name>Stump row</name>');
    expect(count(again.text)).toBe(93);
  });

  test('a boat position with a note stays when there is no new one', () => {
    const edited = first.text.replace(/(<cmt>Boat 25ft[^<]*)/, '$1 stump 20 ft left');
    const document = read(edited, { given });
    const without = additionsFor(document).map((addition) => ({ ...addition, partners: [] }));
    const { parts } = enrichGpx(document, without, NO_LIMITS);
    expect(text(parts[0].bytes)).toContain('stump 20 ft left');
    expect(count(text(parts[0].bytes))).toBe(31);
  });

  test('without a ledger, names and positions alone do not prove a boat position, and every waypoint is kept', () => {
    const returned = bare(first.text);
    const again = run(returned, []);
    expect(again.document.waypoints.filter(({ partner }) => partner === undefined)).toHaveLength(90);
    for (const [element] of returned.matchAll(/<name>[^<]*<\/name>/g)) expect(again.text).toContain(element);
  });
});
