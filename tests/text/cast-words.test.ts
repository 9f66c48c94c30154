import { expect, test } from 'vitest';
import { castName, sideName } from '../../shared/text/cast-words.ts';

// Down the slope is toward deep water: the boat of a downslope position sits on the deep side.
test('a cast is named after the side on which the boat sits', () => {
  expect(castName('downslope', 'upslope')).toBe('deep-side');
  expect(castName('upslope', 'downslope')).toBe('shallow-side');
  expect(castName('flat', undefined)).toBe('any-side');
});

test('an opposite cast is named after the one that it is opposite to', () => {
  expect(castName('opposite', 'downslope')).toBe('opposite-deep-side');
  expect(castName('opposite', 'upslope')).toBe('opposite-side');
  expect(sideName({ kind: 'upslope' }, {})).toBe('shallow side');
});
