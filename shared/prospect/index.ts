export { fishCountOf } from './fish-count.ts';
export { type Known, LEAST_SEPARATE, type Prospect, prospect } from './prospect.ts';
