export { cholesky, solveLower, solveLowerTransposed, solveSymmetric } from './linear-algebra.ts';
export { medianOf } from './median.ts';
export { normalBelow } from './normal.ts';
