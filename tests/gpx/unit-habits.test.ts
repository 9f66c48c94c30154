import { describe, expect, test } from 'vitest';
import { enrichGpx } from '../../src/formats/gpx/enrich-gpx.ts';
import { unitHabits } from '../../src/formats/gpx/unit-habits.ts';
import { additionsFor, enriched, MARKS, NO_LIMITS, parseAgain, read, text } from './helpers.ts';

/** What was given out, and the file in which it was. */
function once() {
  const document = read(MARKS);
  const { parts, given } = enrichGpx(document, additionsFor(document), NO_LIMITS, parseAgain);
  return { content: text(parts[0].bytes), given };
}

/** Options that write for a unit which makes this of what it was given. */
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

describe('habits of a unit, told from what came back of what it was given', () => {
  test('none where it changes nothing', () => {
    const { compared, options } = learned((content) => content);
    expect([compared, options]).toEqual([6, {}]);
  });

  test('length and capitals of names', () => {
    const { options } = learned((content) => names(content, (name) => name.slice(0, 10).toUpperCase()));
    expect(options).toEqual({ 'max-name': '10', capitals: 'on' });
  });

  test('length of the text, and the element that holds it', () => {
    const { options } = learned((content) =>
      content.replace(/<cmt>([^<]*)<\/cmt>/g, (_, comment: string) => `<desc>${comment.slice(0, 30)}</desc>`),
    );
    expect(options).toEqual({ 'text-in': 'desc', 'max-text': '30' });
  });

  test('extension elements that it drops, and comments', () => {
    const { options, habits } = learned((content) =>
      content.replace(/\s*<extensions>[\s\S]*?<\/extensions>|\s*<cmt>[^<]*<\/cmt>/g, ''),
    );
    expect(options).toEqual({ plain: 'on' });
    expect(habits.map(({ found }) => found)).toContain('comments dropped');
  });
});

test('symbols that a unit does not know are not written: one that it knows is, and it is said once', () => {
  const symbols = ['Anchor', 'Fish'];
  const options = { ...NO_LIMITS, symbols, downslopeSymbol: 'fish', upslopeSymbol: 'Skull' };
  const document = read(MARKS);
  const { parts, diagnostics } = enrichGpx(document, additionsFor(document), options, parseAgain);
  const content = text(parts[0].bytes);
  expect(content.match(/<sym>Fish<\/sym>/g)).toHaveLength(6);
  expect(content).not.toMatch(/<sym>(?:Skull|fish)</);
  expect(diagnostics.filter(({ code }) => code === 'gpx/symbol')).toHaveLength(1);
});

test('an export without anything of ours gives guesses only, and none from a few marks', () => {
  const { compared, habits } = unitHabits(read(MARKS).waypoints, []);
  expect(compared).toBe(0);
  expect(habits.flatMap(({ options }) => Object.keys(options))).toEqual([]);
});

test('boat positions in desc come back as such, with the mark of a note kept', () => {
  const content = enriched(MARKS, { textIn: 'desc', capitals: true });
  expect(content).toContain('<name>OLD HUMP D</name>');
  expect(content).toContain('<desc>Boat 25ft');
  const noted = content.replace('on bottom 11-19ft</desc>', 'on bottom 11-19ft snag</desc>');
  const again = enriched(noted, { textIn: 'desc', capitals: true });
  expect(again.match(/on bottom 11-19ft snag<\/desc>/g)).toHaveLength(1);
  expect(again.match(/<wpt /g)).toHaveLength(9);
});
