export { describeStructure } from './structure-account.ts';
export { findStructure } from './structure.ts';
