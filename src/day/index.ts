export {
  boatText,
  castText,
  fallbackText,
  minutesOf,
  outlookText,
  percentText,
  runText,
  waitText,
} from '../../shared/day/index.ts';
export { learnedLines, tackleLines } from './learned-text.ts';
export { declinationOf, legsText } from './legs.ts';
export { CAUTIONS, PLAN_CAUTIONS } from './plan-cautions.ts';
export { formatPlanCsv } from './plan-csv.ts';
export { formatPlanGpx, isWhole, runsOf } from './plan-gpx.ts';
export { planOptions } from './plan-options.ts';
export { formatPlanText } from './plan-text.ts';
export { demandFields, lakePaths, readLake } from './read-lake.ts';
export { isDayLog, readLogs } from './read-log.ts';
export { reviewOptions } from './review-options.ts';
export { formatReviewCsv, formatReviewText } from './review-text.ts';
