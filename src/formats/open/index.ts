export { pointsTable, type TablePoint, tableBytes } from './points-table.ts';
export { bufferOf, canBeSoLong, headText, startsWith, textOf, whole } from './reading.ts';
