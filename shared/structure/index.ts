export { findStructure } from './structure.ts';
export { describeStructure } from './structure-account.ts';
