export type { ProposedPlace } from './choose.ts';
export { fishCountOf } from './fish-count.ts';
export { MIN_SEPARATE } from './gate.ts';
export { type Known, type Prospect, prospect } from './prospect.ts';
