import { expect, test } from 'vitest';
import { type LakeBending, loosen } from '../../shared/lake/lake-bending.ts';

const nodes = (value: number): Float64Array => new Float64Array(4).fill(value);
const learned = (across: number): LakeBending => ({
  uu: nodes(1e-6),
  vv: nodes(across * 1e-6),
  uv: nodes(1e-6),
  direction: nodes(0),
  slope: nodes(0),
});

test.each([
  ['alike in all directions', 1, 2],
  ['twice as much across the contour', 2, 4],
  ['nine times as much across the contour', 9, 9],
])(
  'the allowed ratio of bending across to along the contour exceeds the learned one for ground that bends %s',
  (_, across, factor) => {
    const { uu, vv } = loosen(learned(across), 1);
    expect(vv[0] / uu[0] / across).toBeCloseTo(factor, 10);
    // The geometric mean of both grows by a factor that depends on the looseness alone.
    expect(Math.sqrt(uu[0] * vv[0]) / Math.sqrt(across * 1e-12)).toBeCloseTo(20, 10);
  },
);
