export { projectedTable } from './projected-table.ts';
export { xyz } from './xyz.ts';
