import { describe, expect, test } from 'vitest';
import { enrichGpx } from '../../src/formats/gpx/enrich-gpx.ts';
import { unitHabits } from '../../src/formats/gpx/unit-habits.ts';
import { additionsFor, enriched, MARKS, NO_LIMITS, read, text } from './helpers.ts';

/** Enriches the marks, and returns the file and the boat positions in it. */
function once() {
  const document = read(MARKS);
  const { parts, given } = enrichGpx(document, additionsFor(document), NO_LIMITS);
  return { content: text(parts[0].bytes), given };
}

/** Learns options from the export of a chartplotter that changes the enriched file by `unit`. */
function learned(unit: (content: string) => string) {
  const { content, given } = once();
  const { compared, habits } = unitHabits(read(unit(content), { given }).waypoints, given);
  return {
    compared,
    options: Object.assign({}, ...habits.map(({ options }) => options)),
    habits,
  };
}

const names = (content: string, change: (name: string) => string): string =>
  content.replace(/<name>([^<]*)</g, (_, name: string) => `<name>${change(name.replace('&amp;', '+'))}<`);

describe('habits of a chartplotter, learned from its export of an enriched file', () => {
  test('are empty if it changes nothing', () => {
    const { compared, options } = learned((content) => content);
    expect([compared, options]).toEqual([6, {}]);
  });

  test('include length and capitals of names', () => {
    const { options } = learned((content) => names(content, (name) => name.slice(0, 10).toUpperCase()));
    expect(options).toEqual({ 'max-name': '10', capitals: 'on' });
  });

  test('include the length of texts, and the element that holds them', () => {
    const { options } = learned((content) =>
      content.replace(/<cmt>([^<]*)<\/cmt>/g, (_, comment: string) => `<desc>${comment.slice(0, 30)}</desc>`),
    );
    expect(options).toEqual({ 'text-in': 'desc', 'max-text': '30' });
  });

  test('include dropped comments and extension elements', () => {
    const { options, habits } = learned((content) =>
      content.replace(/\s*<extensions>[\s\S]*?<\/extensions>|\s*<cmt>[^<]*<\/cmt>/g, ''),
    );
    expect(options).toEqual({ plain: 'on' });
    expect(habits.map(({ found }) => found)).toContain('comments dropped');
  });
});

test('a symbol that the chartplotter does not know is replaced with one that it knows, which is reported once', () => {
  const symbols = ['Anchor', 'Fish'];
  const options = { ...NO_LIMITS, symbols, downslopeSymbol: 'fish', upslopeSymbol: 'Skull' };
  const document = read(MARKS);
  const { parts, diagnostics } = enrichGpx(document, additionsFor(document), options);
  const content = text(parts[0].bytes);
  expect(content.match(/<sym>Fish<\/sym>/g)).toHaveLength(6);
  expect(content).not.toMatch(/<sym>(?:Skull|fish)</);
  expect(diagnostics.filter(({ code }) => code === 'gpx/symbol')).toHaveLength(1);
});

test('an export of a few marks without our additions gives no options', () => {
  const { compared, habits } = unitHabits(read(MARKS).waypoints, []);
  expect(compared).toBe(0);
  expect(habits.flatMap(({ options }) => Object.keys(options))).toEqual([]);
});

test('boat positions with their text in desc are recognized, and a note added to one is kept', () => {
  const content = enriched(MARKS, { textIn: 'desc', capitals: true });
  expect(content).toContain('<name>OLD HUMP D</name>');
  expect(content).toContain('<desc>Boat 25ft');
  // A comment with a long lure name says `touch` instead of `on bottom`.
  for (const words of ['on bottom', 'touch']) {
    const noted = content.replace('on bottom 11-19ft</desc>', `${words} 11-19ft snag</desc>`);
    const again = enriched(noted, { textIn: 'desc', capitals: true });
    expect(again.match(/on bottom 11-19ft snag<\/desc>/g)).toHaveLength(1);
    expect(again.match(/<wpt /g)).toHaveLength(9);
  }
});
