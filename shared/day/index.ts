export { LOG_COLUMNS } from './day-log.ts';
export { dayProblems } from './day.ts';
export { dayPlanOptions } from './options.ts';
export { patternText } from './pattern.ts';
export { planDay } from './plan-day.ts';
export { type DayPlan, type PlanPlace, type PlannedStop, sideLetter } from './plan.ts';
export { type RunPart, isDrawn } from './run-parts.ts';
export type { Place, Run } from './runs.ts';
export { KG_PER_LB } from './sizes.ts';
