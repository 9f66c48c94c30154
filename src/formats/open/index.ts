export { pointsTable, type TablePoint, tableBytes } from './points-table.ts';
export * from './reading.ts';
