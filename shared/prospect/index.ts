export { fishCountOf } from './fish-count.ts';
export { type Known, LEAST_SEPARATE, type ProposedPlace, type Prospect, prospect } from './prospect.ts';
export { type Condition, meets, type Rule } from './rules.ts';
