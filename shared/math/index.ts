export { bilinear } from './bilinear.ts';
export { pickRows } from './columns.ts';
export {
  ABREAST,
  cholesky,
  dot,
  gather,
  solveLower,
  solveLowerTransposed,
  solveRowsBelow,
  solveSymmetric,
  type TriangleLayout,
} from './linear-algebra.ts';
export { rowRuns } from './runs.ts';
export { CAN_SHARE, sharedMemory } from './shared-memory.ts';
export { medianOf, normalBelow, randomIndex, seededRandom } from './statistics.ts';
