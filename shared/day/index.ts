export { LOG_COLUMNS } from './day-log.ts';
export { dayPlanOptions } from './options.ts';
export { patternText } from './pattern.ts';
export { type DayPlan, type PlannedStop, type PlanPlace, sideLetter } from './plan.ts';
export { dayProblems, planDay } from './plan-day.ts';
export type { Run } from './runs.ts';
