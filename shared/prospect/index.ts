export { MIN_SEPARATE } from './chance-test.ts';
export type { ProposedPlace } from './choose.ts';
export { fishCountOf } from './fish-count.ts';
export { type Known, type Prospect, prospect } from './prospect.ts';
