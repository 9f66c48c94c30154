import { describe, expect, it } from 'vitest';
import { markDepthOf } from '../../shared/text/mark-depth.ts';

const mark = (change: object) => ({ name: 'M1', comment: '', description: '', ...change });
const FEET = 0.3048;

describe('markDepthOf', () => {
  it.each([
    ['depth 21', 21 * FEET, false],
    ['Depth: 21', 21 * FEET, false],
    ['depth 21 ft', 21 * FEET, true],
    ['DEPTH=21.5ft', 21.5 * FEET, true],
    ['depth 6.4 m', 6.4, true],
    ['depth 6,4m', 6.4, true],
    ['water depth 21', 21 * FEET, false],
    ['depth here 21', 21 * FEET, false],
    ['21 ft deep', 21 * FEET, true],
    ["21' deep", 21 * FEET, true],
    ['21 feet deep here', 21 * FEET, true],
    ['6 m deep', 6, true],
    ['stump, 21 ft deep', 21 * FEET, true],
    ['brush pile. depth 21', 21 * FEET, false],
    ['brush pile depth 21ft', 21 * FEET, true],
    ['21 feet of water', 21 * FEET, true],
    ['21 fow', 21 * FEET, true],
    ['fish 14-18 ft, depth 21', 21 * FEET, false],
    ['21 deep', 21 * FEET, false],
    ['3 fathoms deep', 3 * 1.8288, true],
  ] as const)('reads %j', (comment, depth, isUnitKnown) => {
    const found = markDepthOf(mark({ comment }), 'ft');
    expect(found?.depth).toBeCloseTo(depth, 9);
    expect(found).toMatchObject({ isUnitKnown, source: 'text' });
  });

  it.each([
    '',
    '21',
    '21 ft',
    'fish 21 ft deep',
    'caught 3 in 21 feet of water',
    'school 21 ft deep',
    'channel 35 ft deep',
    'ledge depth 12',
    'creek channel depth 30',
    'drops to depth 30',
    'tops out 12 ft deep',
    'depth 18-24',
    'depth 18 to 24 ft',
    'depth 12 and 18',
    'depth 6/12',
    '12-18 ft deep',
    'depth change 5 ft',
    'lure depth 12',
    'running depth 12',
    '16 ft diver depth 14',
    'boat 25 ft deep',
    '21 deeper than the rest',
    'depth 0',
    'depth 900',
    'depth 1200 ft',
    'deep 2024',
  ])('finds no depth of the mark in %j', (comment) => {
    expect(markDepthOf(mark({ comment }), 'ft')).toBeUndefined();
  });

  it("uses the user's unit if the words have none", () => {
    expect(markDepthOf(mark({ name: 'depth 6' }), 'm')).toEqual({
      depth: 6,
      isUnitKnown: false,
      source: 'text',
    });
  });

  it('prefers the depth element of the file to the words', () => {
    expect(markDepthOf(mark({ depth: 5, isDepthUnitKnown: false, comment: 'depth 30' }), 'ft')).toEqual({
      depth: 5,
      isUnitKnown: false,
      source: 'extension',
    });
    expect(markDepthOf(mark({ depth: 5, isDepthUnitKnown: true }), 'ft')?.isUnitKnown).toBe(true);
    expect(markDepthOf(mark({ depth: 0, comment: 'depth 30 ft' }), 'ft')?.source).toBe('text');
  });

  it('looks at the comment, then the description, then the name', () => {
    expect(markDepthOf(mark({ description: 'depth 7 m', name: 'depth 9 m' }), 'ft')?.depth).toBe(7);
    expect(markDepthOf(mark({ comment: '12-18', name: 'depth 9 m' }), 'ft')?.depth).toBe(9);
  });
});
