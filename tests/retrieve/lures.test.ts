import { describe, expect, it } from 'vitest';
import { formatDiagnostic } from '../../shared/contract/diagnostic.ts';
import type { CsvFile } from '../../shared/contract/options.ts';
import { parseLine } from '../../shared/retrieve/line.ts';
import { readLureBox } from '../../shared/retrieve/lure-box.ts';
import { calibrate, dragOfLabel, freeDepth, genericLures } from '../../shared/retrieve/lures.ts';
import type { Handling } from '../../shared/retrieve/rig.ts';
import { USUAL_HANDLING } from '../../shared/retrieve/rig.ts';

const feet = 0.3048;
const lineOf = (text: string) => {
  const line = parseLine(text);
  if (line === undefined) throw new Error(text);
  return line;
};
const depthFeet = (label: number, cast: number, line: string, handling: Partial<Handling> = {}) =>
  freeDepth(
    { cast, line: lineOf(line), lure: dragOfLabel(label), handling: { ...USUAL_HANDLING, ...handling } },
    undefined,
    0.5,
  ) / feet;

describe('depth of a generic diver', () => {
  // Full flexible-line model, computed outside this project. Tolerance: 1.5 % plus half of the last printed
  // digit.
  it.each([
    [45, '12', 17.5],
    [45, '10', 18.3],
    [45, '14', 16.8],
    [30, '12', 13.7],
    [35, '12', 15.1],
    [40, '12', 16.4],
    [50, '12', 18.6],
    [55, '12', 19.5],
  ])('16 ft label on a %d m cast with %s lb agrees with the full model', (cast, line, expected) => {
    expect(Math.abs(depthFeet(16, cast, line) - expected)).toBeLessThan(0.015 * expected + 0.05);
  });

  it('hardly depends on the speed of a brisk retrieve, and decreases with a high rod tip', () => {
    expect(Math.abs(depthFeet(16, 45, '12', { speed: 1.2 }) - 17.1)).toBeLessThan(0.5);
    expect(Math.abs(depthFeet(16, 45, '12', { speed: 2.5 }) - 17.3)).toBeLessThan(0.3);
    expect(Math.abs(depthFeet(16, 45, '12', { tipHeight: 1.5 }) - 15.3)).toBeLessThan(0.3);
    expect(Math.abs(depthFeet(16, 45, '12', { tipHeight: 0 }) - 18.2)).toBeLessThan(0.3);
  });

  it('common practice, no source: a 16 ft diver runs 17 to 18 ft on a long cast with 12 lb', () => {
    expect(depthFeet(16, 45, '12')).toBeGreaterThan(17);
    expect(depthFeet(16, 45.72, '12')).toBeLessThan(18);
  });

  it('common practice, no source: 10 lb runs 0.5 to 1 ft deeper, and 14 lb 0.5 to 1 ft shallower', () => {
    const usual = depthFeet(16, 45.72, '12');
    expect(depthFeet(16, 45.72, '10') - usual).toBeGreaterThan(0.5);
    expect(depthFeet(16, 45.72, '10') - usual).toBeLessThan(1);
    expect(usual - depthFeet(16, 45.72, '14')).toBeGreaterThan(0.5);
    expect(usual - depthFeet(16, 45.72, '14')).toBeLessThan(1);
  });

  it('increases with the label', () => {
    const depths = genericLures().map((lure) => depthFeet(lure.label / feet, 45, '12'));
    expect([...depths].sort((a, b) => a - b)).toEqual(depths);
  });
});

describe('parseLine', () => {
  it('reads strengths, diameters and materials', () => {
    expect(parseLine('12')).toEqual({ diameter: 0.285e-3, density: 1780 });
    expect(parseLine('12lb')).toEqual(parseLine('12'));
    expect(parseLine('0.285mm')?.diameter).toBeCloseTo(0.285e-3, 12);
    expect(parseLine('.3 mm nylon')).toEqual({ diameter: 0.3e-3, density: 1140 });
    expect(parseLine('20lb Braid')).toEqual({ diameter: 0.23e-3, density: 970 });
    expect(parseLine('10')?.diameter).toBeCloseTo(0.26e-3, 5);
    expect(parseLine('14')?.diameter).toBeCloseTo(0.31e-3, 5);
    expect(parseLine('5.4431kg')?.diameter).toBeCloseTo(0.285e-3, 8);
  });

  it('refuses anything that is not a line', () => {
    for (const text of ['', 'twelve', '12 wire', '-3', '0', '0mm', '300', '5mm'])
      expect(parseLine(text)).toBeUndefined();
  });
});

describe('calibrate', () => {
  it('makes the lure reach the observed depth: 17 ft, 45 m, 12 lb', () => {
    const found = calibrate(16, [{ depth: 17 * feet, cast: 45, line: lineOf('12') }]);
    if (!('drag' in found)) throw new Error('refused');
    const setup = { cast: 45, line: lineOf('12'), lure: found.drag, handling: USUAL_HANDLING };
    expect(freeDepth(setup) / feet).toBeCloseTo(17, 2);
    expect(found.drag.liftToDrag).toBeCloseTo(0.78, 9);
    // The full model gives 10.5 cm2.
    expect(found.drag.dragArea * 1e4).toBeGreaterThan(10.2);
    expect(found.drag.dragArea * 1e4).toBeLessThan(10.6);
  });

  it('fits two observations that one lure can satisfy', () => {
    const truth = { liftToDrag: 0.7, dragArea: 11.5e-4 };
    const see = (cast: number) => ({
      cast,
      line: lineOf('12'),
      depth: freeDepth({ cast, line: lineOf('12'), lure: truth, handling: USUAL_HANDLING }),
    });
    const found = calibrate(16, [see(45), see(25)]);
    if (!('drag' in found)) throw new Error('refused');
    expect(found.drag.liftToDrag).toBeCloseTo(0.7, 2);
    expect(found.drag.dragArea * 1e4).toBeCloseTo(11.5, 1);
  });
});

const box = (...rows: string[]): CsvFile => {
  const [head, ...lines] = rows;
  const header = head.split(',');
  return {
    file: 'box.csv',
    header,
    rows: lines.map((text, i) => ({
      line: i + 2,
      values: Object.fromEntries(text.split(',').map((value, column) => [header[column], value])),
    })),
  };
};
const HEAD = 'name,label_ft,reaches_ft,cast_m,line_lb';

describe('readLureBox', () => {
  it('reads lures with and without an observation, shallowest first', () => {
    const { lures, problems } = readLureBox(box(HEAD, 'deep,16,17,45,12', 'small,8,,,'));
    expect(problems).toEqual([]);
    expect(lures.map(({ name, isCalibrated }) => [name, isCalibrated])).toEqual([
      ['small', false],
      ['deep', true],
    ]);
  });

  it('accepts only name and label', () => {
    expect(readLureBox(box('name,label_ft', 'a,10')).lures[0].label).toBeCloseTo(10 * feet, 9);
  });

  it('takes a second row with the same name as a second observation', () => {
    const { lures, problems } = readLureBox(box(HEAD, 'deep,16,17.3,45,12', 'deep,16,13.6,30,12'));
    expect(problems).toEqual([]);
    expect(lures.length).toBe(1);
  });

  it.each([
    [[HEAD, 'deep,16,45,45,12'], 'box.csv:2: error lures/impossible'],
    [[HEAD, 'a,10,,,', 'deep,16,17,45,12', 'deep,16,9.5,30,12'], 'box.csv:4: error lures/contradictory'],
    [
      [HEAD, 'deep,160,,,'],
      `box.csv:2: error lures/label: The depth printed on the lure's box, "160", cannot be used. Write a number from 2 to 30 in column label_ft, in ft but without the unit.`,
    ],
    [
      [HEAD, 'deep,16,17,,12'],
      'box.csv:2: error lures/observation: The depth that a lure reached is of use only',
    ],
    [[HEAD, 'deep,16,17,45,wire'], 'box.csv:2: error lures/line: The line, "wire", cannot be used.'],
    [[HEAD, 'deep,16,-2,45,12'], 'box.csv:2: error lures/reaches: The depth reached, "-2", cannot be used.'],
    [
      [HEAD, 'deep,16,15 ft,45,12'],
      'The depth reached, "15 ft", cannot be used. Write a number above 0, such as 15.5, in column reaches_ft, in ft but without the unit.',
    ],
    [[HEAD, ' deep,,,,'], "The depth printed on the lure's box is missing. Write a number from 2 to 30"],
    [[HEAD, 'deep,16,17,1,12'], 'error lures/cast: The length of the cast, "1", cannot be used.'],
    [
      ['name,label_ft,reaches_ft,cast_ft,line_lb', 'deep,16,17,1,12'],
      'Write a number from 16.5 to 656.1 in column cast_ft, in ft but without the unit.',
    ],
    [[HEAD, ',16,,,'], 'box.csv:2: error lures/name'],
    [[HEAD, 'deep,16,,,', 'deep,14,,,'], 'box.csv:3: error lures/label-differs'],
    [
      ['lure,depth', 'a,10'],
      'box.csv:1: error lures/columns: No lures are read: columns name and label_ft are missing, and the file has only lure,depth. Write the name of each lure in column name, and the depth printed on its box, in ft, in column label_ft.',
    ],
    [
      ['name,depth', 'a,10'],
      'column label_ft is missing, and the file has only name,depth. Write the depth printed on its box, in ft, in column label_ft.',
    ],
    [[HEAD, 'deep,16,17,45,300'], 'box.csv:2: error lures/line: The line, "300", cannot be used.'],
    [
      ['name,label_ft,reaches_ft,cast,line_lb', 'deep,16,17,50,12'],
      'box.csv:1: error lures/unit: The unit of column "cast" is missing or not known. Give its values in one of these units, and rename the column to match: cast_ft, cast_m or cast_yd.',
    ],
    [
      ['name,label_m', 'deep,12'],
      '"12", cannot be used. Write a number from 0.7 to 9.1 in column label_m, in m but without the unit.',
    ],
    [['name,label_ft,reaches_fm,cast_m,line_lb', 'deep,16,2.8,45,12'], 'box.csv:1: error lures/unit'],
    [[HEAD], 'box.csv: error lures/empty'],
  ])('refuses %j with file and line', (rows, expected) => {
    const { problems } = readLureBox(box(...rows));
    expect(formatDiagnostic(problems[0])).toContain(expected);
    expect(problems.length).toBe(1);
  });

  it('takes the unit of a column from its name', () => {
    const drag = (header: string, row: string) => {
      const { lures, problems } = readLureBox(box(header, row));
      expect(problems).toEqual([]);
      return lures[0].drag.dragArea;
    };
    const own = drag(HEAD, 'deep,16,17,45,12');
    expect(drag('name,label_feet,reaches_m,cast_yards,line_kg', 'deep,16,5.1816,49.2126,5.443')).toBeCloseTo(
      own,
      3,
    );
    expect(drag('name,label,reaches_ft,cast_meters,line_mm', 'deep,16,17,45,0.285')).toBeCloseTo(own, 6);
  });

  it('says what a lure with that label could reach', () => {
    const { problems } = readLureBox(box(HEAD, 'deep,16,45,45,12'));
    expect(problems[0].message).toMatch(
      /^"deep" at 45\.0 ft on a cast of 45 m does not fit its label: such lures reach \d+\.\d ft to \d+\.\d ft on that cast\. Check depth, cast, line and label\.$/,
    );
  });
});
