import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  cholesky,
  solveLower,
  solveLowerTransposed,
  solveSymmetric,
} from '../../shared/math/linear-algebra.ts';
import { near } from './near.ts';

test('a Cholesky factor times its transpose is the matrix, and the factor solves its equations, for even and odd sizes', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 17 }),
      fc.infiniteStream(fc.double({ min: -1, max: 1, noNaN: true })),
      (n, stream) => {
        const b = Float64Array.from({ length: n * n }, () => stream.next().value as number);
        const a = new Float64Array(n * n);
        for (let i = 0; i < n; i++) {
          for (let j = 0; j < n; j++) {
            for (let k = 0; k < n; k++) a[i * n + j] += b[i * n + k] * b[j * n + k];
            if (i === j) a[i * n + j] += 0.5;
          }
        }
        const l = a.slice();
        expect(cholesky(l, n, { stride: n })).toBe(true);
        for (let i = 0; i < n; i++) {
          for (let j = 0; j <= i; j++) {
            let sum = 0;
            for (let k = 0; k <= j; k++) sum += l[i * n + k] * l[j * n + k];
            near(sum, a[i * n + j], 1e-10);
          }
        }
        const x = Float64Array.from({ length: n }, (_, i) => i - 2);
        const y = Float64Array.from({ length: n }, (_, i) =>
          x.reduce((sum, v, j) => sum + a[i * n + j] * v, 0),
        );
        solveLower(l, n, n, y);
        solveLowerTransposed(l, n, n, y);
        for (const [i, v] of y.entries()) near(v, x[i], 1e-8);
      },
    ),
  );
});

test('a matrix that is not positive definite is refused', () => {
  expect(cholesky(Float64Array.of(1, 2, 2, 1), 2, { stride: 2 })).toBe(false);
  expect(cholesky(Float64Array.of(0), 1, { stride: 1 })).toBe(false);
  expect(solveSymmetric([1, 1, 1, 1], [1, 1], 2)).toBeUndefined();
});
