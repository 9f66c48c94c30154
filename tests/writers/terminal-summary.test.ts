import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { textWidth } from '../../src/writers/display-width.ts';
import { formatSummary } from '../../src/writers/terminal-summary.ts';
import { sampleReport } from '../report/sample-lake.ts';

const rename = (spot: EnrichedWaypoint, name: string): EnrichedWaypoint => ({
  ...spot,
  waypoint: { ...spot.waypoint, name },
});

describe('terminal summary', () => {
  test('gives one line to each spot between the head and the count', () => {
    const lines = formatSummary(sampleReport(12).waypoints, 'ft', 130).split('\n');
    expect(lines).toHaveLength(1 + 12 + 1 + 1 + 1);
    expect(lines[0]).toMatch(/^ +spot +depth +structure +slope +fish +boat +cast +lure +on bottom +note$/);
    expect(lines.at(-2)).toMatch(/^12 spots: 10 with a deep-side cast; /);
  });

  test('puts refused spots first, then warned ones with least data first, then the rest in input order', () => {
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

  test('starts every column at one place', () => {
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

  test('drops columns instead of passing the width of the terminal, but never depth, structure, boat or note', () => {
    for (const width of [60, 72, 80, 100, 140]) {
      const lines = formatSummary(sampleReport(14).waypoints, 'ft', width).split('\n');
      for (const line of lines) expect(textWidth(line)).toBeLessThanOrEqual(width);
      expect(lines[0]).toMatch(/spot.*depth.*structure.*boat.*note/);
    }
  });

  test('shows a missing answer as a dash and its reason in words', () => {
    const text = formatSummary([sampleReport(7).waypoints[6]], 'ft', 120);
    expect(text).toMatch(/! {2}Mark 007 +\d+ft +- +- .*one pass: no slope; support/);
  });

  test('lets nothing of a name steer the terminal', () => {
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
