import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { bottomMessages as say } from '../../shared/text/messages/bottom.ts';
import { formatSummary } from '../../src/cli/terminal-summary.ts';
import { textWidth } from '../../src/formats/table/plain-text.ts';
import { sampleReport } from '../page/sample-lake.ts';

const rename = (spot: EnrichedWaypoint, name: string): EnrichedWaypoint => ({
  ...spot,
  waypoint: { ...spot.waypoint, name },
});

describe('terminal summary', () => {
  test('gives one line for each spot between the heading and the count', () => {
    const text = formatSummary(sampleReport(12).waypoints, 'ft', 130);
    const lines = text.split('\n');
    expect(text.split('\n\n')[0].split('\n')).toHaveLength(1 + 12);
    expect(lines[0]).toMatch(/^ +spot +depth +structure +slope +fish +boat +cast +lure +on bottom \(fish\)$/);
    expect(text).toMatch(/\n12 spots: 10 with a cast, 8 from the deep side; /);
  });

  test('puts refused spots first, then warned ones with the least data first, then the rest in input order', () => {
    const { waypoints } = sampleReport(12);
    const refused: EnrichedWaypoint = {
      ...waypoints[3],
      diagnostics: [{ severity: 'error', code: 'waypoint/position', message: 'x' }],
    };
    const lines = formatSummary([...waypoints.slice(0, 3), refused, ...waypoints.slice(4)], 'ft', 120)
      .split('\n')
      .slice(1, 13);
    const order = lines.map((line) => Number(/Mark (\d+)/.exec(line)?.[1]));
    expect(order).toEqual([4, 10, 7, 8, 1, 2, 3, 5, 6, 9, 11, 12]);
    expect(lines.map((line) => line[0]).join('')).toBe('x!!!        ');
  });

  test('aligns every column', () => {
    const spots = sampleReport(9).waypoints.map((spot, i) =>
      rename(spot, ['a', '\u9b5a\u9b5a', 'Hu\u0308gel 3'][i % 3]),
    );
    const lines = formatSummary(spots, 'm', 120).split('\n').slice(0, 10);
    const at = textWidth(lines[0].slice(0, lines[0].indexOf('structure')));
    for (const line of lines.slice(1)) {
      let column = 0;
      let index = 0;
      while (column < at) column += textWidth(line[index++]);
      expect(column).toBe(at);
      expect(line.slice(index, index + 2)).toMatch(/^([a-z]{2}|- )/);
    }
  });

  test('drops columns rather than exceed the width of the terminal, but never depth, structure or boat', () => {
    for (const width of [60, 72, 80, 100, 140]) {
      const lines = formatSummary(sampleReport(14).waypoints, 'ft', width).split('\n');
      for (const line of lines) expect(textWidth(line)).toBeLessThanOrEqual(width);
      expect(lines[0]).toMatch(/spot.*depth.*structure.*boat/);
    }
  });

  test('shows what the soundings lack in place of a missing structure, and a dash for other missing values', () => {
    const text = formatSummary([sampleReport(7).waypoints[6]], 'ft', 120);
    expect(text).toMatch(/! {2}Mark 007 +\d+ft +one line +- /);
  });

  test("lists warnings below the table in full sentences, in the user's units, within the width", () => {
    const spot: EnrichedWaypoint = {
      ...sampleReport(1).waypoints[0],
      diagnostics: [
        say['one-pass'](undefined),
        say.edge(undefined),
        say['one-pass'](undefined),
        say.level(undefined, 1, 2),
        say.sparse(undefined, 30),
      ],
    };
    const paragraph = formatSummary([rename(spot, 'P1')], 'ft', 72).split('\n\n')[1];
    const lines = paragraph.split('\n');
    expect(lines.length).toBeGreaterThan(2);
    expect(lines[0]).toMatch(/^! {2}P1: No slope and no structure: all your/);
    for (const line of lines) expect(textWidth(line)).toBeLessThanOrEqual(72);
    for (const line of lines.slice(1)) expect(line).toMatch(/^ {3}\S/);
    const said = lines.map((line) => line.trim()).join(' ');
    expect(said.match(/Run one more pass over the mark, across this line\./g)).toHaveLength(1);
    expect(said).toContain('Run a pass on the other side.');
    expect(said).toContain('your passes are about 100 ft apart');
    expect(said).not.toContain('which way the bottom slopes');
  });

  test('if neither side has a cast, shows the opposite side or the first next angle as such', () => {
    const [spot] = sampleReport(1).waypoints;
    const { downslope, upslope, ...rest } = spot.fields;
    const others = Object.entries(rest).filter(([name]) => !/^(downslope_|upslope_|lure)/.test(name));
    const castOf = (fields: object) =>
      formatSummary([{ ...spot, fields: { ...Object.fromEntries(others), ...fields } }], 'ft', 140).split(
        '\n',
      )[1];
    const plan = downslope ?? upslope;
    expect(castOf({ upslope: { ...plan, kind: 'upslope' } })).toMatch(
      / \d{3}M \d+yd to \d+ft \(shallow side\) .*\d+ft diver/,
    );
    expect(castOf({ upslope: undefined, angles: [{ ...plan, kind: 'along' }] })).toMatch(
      / \d+ft +\d{3}M \d+yd to \d+ft \(next angle, along the contour\) /,
    );
    expect(castOf({ downslope: plan, upslope: { ...plan, kind: 'upslope', worth: 99 } })).toMatch(
      /shallow side/,
    );
    expect(castOf({ angles: [] })).toMatch(/ - +- +- +-$/);
  });

  test('lets no name control the terminal', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 40 }), (name) => {
        const text = formatSummary(
          [rename(sampleReport(1).waypoints[0], `\u001b[2J${name}\u202e`)],
          'ft',
          100,
        );
        expect(text.replace(/\n/g, '')).not.toMatch(/[\p{Cc}\p{Cf}]/u);
        expect(text.trimEnd().split('\n')).toHaveLength(4);
      }),
    );
  });

  test('says so when there is nothing to show', () => {
    expect(formatSummary([], 'ft', 80)).toBe('No waypoints.\n');
  });
});
