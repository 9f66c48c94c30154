export { findStructure, wordOnLake } from './structure.ts';
export { describeStructure } from './structure-account.ts';
