export { bilinear } from './bilinear.ts';
export {
  ABREAST,
  cholesky,
  dot,
  solveLower,
  solveLowerAbreast,
  solveLowerTransposed,
  solveSymmetric,
  type TriangleLayout,
} from './linear-algebra.ts';
export { medianOf } from './median.ts';
export { normalBelow } from './normal.ts';
export { randomIndex, seededRandom } from './random.ts';
export { CAN_SHARE, sharedMemory } from './shared-memory.ts';
