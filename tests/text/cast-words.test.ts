import { expect, test } from 'vitest';
import { castName, sideName } from '../../shared/text/cast-words.ts';

// Downslope means toward deep water, so the boat of a downslope position is on the deep side.
test('a cast is named after the side on which the boat sits', () => {
  expect(castName('downslope', 'upslope')).toBe('deep-side');
  expect(castName('upslope', 'downslope')).toBe('shallow-side');
  expect(castName('flat', undefined)).toBe('any-side');
});

test('an opposite cast is named after the one it is opposite to', () => {
  expect(castName('opposite', 'downslope')).toBe('opposite-deep-side');
  expect(castName('opposite', 'upslope')).toBe('opposite-side');
  expect(sideName({ kind: 'upslope' }, {})).toBe('shallow side');
});
