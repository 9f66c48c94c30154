import { describe, expect, it } from 'vitest';
import { fishBand } from '../../plugins/fish-band.ts';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import type { CsvFile } from '../../shared/contract/options.ts';
import type { WaypointInput } from '../../shared/contract/plugin.ts';

type Input = WaypointInput<never, 'depth' | 'pass_depth' | 'pass_depth_sd' | 'slope' | 'slope_sd'>;
const FT = 0.3048;

const run = (
  waypoint: object,
  fields: object,
  fishDepth?: { top: number; bottom: number },
  level: { readonly today?: number; readonly levels?: CsvFile } = {},
) => {
  const said: Diagnostic[] = [];
  const input = {
    waypoint: { comment: '', description: '', name: 'M1', ...waypoint },
    fields,
  } as unknown as Input;
  const found = fishBand.run(
    input,
    { units: 'ft', fishDepth, levels: undefined, today: undefined, date: '2024-05-03', ...level },
    { report: (diagnostic) => said.push(diagnostic), progress: () => {}, isWanted: () => true },
  );
  return { found, said };
};

describe('plugin fish-band', () => {
  it('uses the note first, then the option, then the modeled depth, then the depth in the mark', () => {
    const option = { top: 3, bottom: 4 };
    expect(run({ comment: 'fish 4-6 m' }, { depth: 5 }, option).found.fish_source).toBe('note');
    expect(run({ name: 'fish 4-6 m' }, { depth: 5 }, option).found.fish_source).toBe('note');
    expect(run({}, { depth: 5 }, option).found).toMatchObject({
      fish_top: 3,
      fish_bottom: 4,
      fish_source: 'option',
    });
    const own = run({ depth: 5.1 }, { depth: 5, pass_depth: 5, pass_depth_sd: 0.1 }).found;
    expect(own.fish_source).toBe('depth');
    expect(own.fish_top).toBeCloseTo(5 - 0.9144, 9);
    expect(own.fish_bottom).toBeCloseTo(5 + 0.9144, 9);
    expect(run({ depth: 9 }, {}).found.fish_bottom).toBeCloseTo(9.9144, 9);
    expect(run({ comment: 'depth 30 ft' }, {}).found.fish_bottom).toBeCloseTo(33 * FT, 9);
  });

  it('keeps the band of a shallow waypoint within a quarter of its depth', () => {
    expect(run({}, { depth: 1 }).found).toMatchObject({ fish_top: 0.75, fish_bottom: 1.25 });
  });

  it('leaves the band out when nothing gives it, and asks for it only where sonar gives a bottom', () => {
    const { found, said } = run({}, { depth: 0 });
    expect(found).toEqual({});
    expect(said.map(({ code }) => code)).toEqual(['fish/band']);
    expect(run({}, {}).said).toEqual([]);
  });

  it.each([
    ['22-26 good bite', undefined, 'Fish 22-26 ft, from your note.'],
    ["caught 3 in 22'", undefined, 'Fish 20-24 ft, from your note.'],
    [
      'ledge 12-30ft',
      undefined,
      'Your note "ledge 12-30ft" is about the ledge, not the fish: planned on the mark\'s own depth.',
    ],
    [
      'ledge 12-30ft, fish 18-22',
      undefined,
      'Fish 18-22 ft, from your note. Your note "ledge 12-30ft" is about the ledge, not the fish.',
    ],
    [
      '20 ft diver',
      { top: 12 * FT, bottom: 18 * FT },
      'Your note "20 ft diver" is about the lure, not the fish: planned on --fish-depth 12-18 ft.',
    ],
    [
      'no fish at 20 ft',
      undefined,
      'Your note "no fish at 20 ft" says where no fish were: planned on the mark\'s own depth.',
    ],
    [
      'bait balls 18 ft',
      undefined,
      'Your note "bait balls 18 ft" is about the bait, not the fish: planned on the mark\'s own depth.',
    ],
    [
      'fish deeper than 20 ft',
      undefined,
      'Planned on the mark\'s own depth: your note "fish deeper than 20 ft" gives only one end of a range. Write both, such as "fish 20-26 ft".',
    ],
    ['shell bed', undefined, "No fish depth in your note: planned on the mark's own depth."],
    ['', undefined, "No note: planned on the mark's own depth."],
  ])('reports what it took from %j, or why it took nothing', (comment, option, expected) => {
    expect(run({ comment }, { depth: 5 }, option).found.fish_note).toBe(expected);
  });
});

describe('the depth in a mark compared with the sonar passes', () => {
  const passes = { depth: 12 * FT, pass_depth: 12 * FT, pass_depth_sd: 0.05, slope: 2, slope_sd: 1 };

  it('reports a contradiction and plans on the depth in the mark', () => {
    const { found, said } = run({ depth: 20 * FT }, passes);
    expect(said).toEqual([
      {
        severity: 'warning',
        code: 'fish/mark-depth',
        message:
          'The depth here may be wrong: the mark says 20 ft, but your sonar passes give 12 ft. The plan uses the mark. Idle over it once more.',
      },
    ]);
    expect(found.fish_top).toBeCloseTo(17 * FT, 9);
    expect(found.mark_depth).toBeCloseTo(20 * FT, 9);
  });

  it('plans on the note despite a contradiction', () => {
    const { found, said } = run({ depth: 20 * FT, comment: 'fish 9-11 ft' }, passes);
    expect(said[0].message).toMatch(/your sonar passes give 12 ft\. Idle over it once more\.$/);
    expect(found.fish_top).toBeCloseTo(9 * FT, 9);
  });

  it('ignores a difference within the two uncertainties', () => {
    const near = run({ depth: 12.9 * FT }, passes);
    expect(near.said).toEqual([]);
    expect(near.found.fish_top).toBeCloseTo(9 * FT, 9);
    // On a steep face, a position 3 m off changes the depth by 1.4 m.
    expect(run({ depth: 16 * FT }, { ...passes, slope: 25 }).said).toEqual([]);
  });

  it('reads a depth without a unit as feet if only feet agree', () => {
    const { found, said } = run({ depth: 12, isDepthUnitKnown: false }, passes);
    expect(said.map(({ code }) => code)).toEqual(['fish/mark-depth-unit']);
    expect(found.mark_depth).toBeCloseTo(12 * FT, 9);
    expect(run({ depth: 12, isDepthUnitKnown: true }, passes).said[0].code).toBe('fish/mark-depth');
    expect(run({ depth: 8, isDepthUnitKnown: false }, passes).said[0].code).toBe('fish/mark-depth');
  });

  it('names a number without a unit as it is written', () => {
    expect(run({ depth: 40, isDepthUnitKnown: false }, passes).said[0].message).toMatch(
      /the mark says 131 ft \(40 without a unit, read as meters\), but/,
    );
    // A number in a note is in feet here, and is not converted from meters once more.
    const shallow = { ...passes, depth: 6.4 * FT, pass_depth: 6.4 * FT };
    expect(run({ comment: 'depth 21' }, shallow).said[0].message).toMatch(
      /the mark says 21 ft, but your sonar passes give 6 ft/,
    );
  });

  it('is compared and used at the water level of the plan', () => {
    const rows = [
      ['2024-05-01', '100'],
      ['2024-05-03', '98'],
    ].map(([time, level_m], row) => ({ line: row + 2, values: { time, level_m } }));
    const levels = { file: 'levels.csv', header: ['time', 'level_m'], rows };
    const time = Date.UTC(2024, 4, 1, 12) / 1000;
    // A depth of 18.6 ft at a level 2 m above that of the plan agrees with the passes' 12 ft.
    const agreeing = run({ depth: 12 * FT + 2, time }, passes, undefined, { levels });
    expect(agreeing.said).toEqual([]);
    expect(agreeing.found.mark_depth).toBeCloseTo(12 * FT + 2, 9);
    const { found, said } = run({ depth: 12 * FT, time }, passes, undefined, { levels });
    expect(said[0].message).toMatch(
      /^The depth here may be wrong: the mark says 12 ft \(5 ft at the water level of the plan\), .* The plan uses the mark\./,
    );
    expect((found.fish_top! + found.fish_bottom!) / 2).toBeCloseTo(12 * FT - 2, 9);
    // Without soundings there is only the mark's depth.
    expect(run({ depth: 5, time }, {}, undefined, { levels }).found.fish_bottom).toBeCloseTo(3 + 0.75, 9);
    // A mark without a time may be from any of the days, which adds an uncertainty of 1 m.
    expect(run({ depth: 12 * FT + 2 }, passes, undefined, { levels }).said).toEqual([]);
    expect(run({ depth: 12 * FT + 4 }, passes, undefined, { levels }).said).toHaveLength(1);
  });
});
