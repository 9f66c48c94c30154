export { dayProblems } from './day.ts';
export { LOG_COLUMNS } from './day-log.ts';
export { dayPlanOptions } from './options.ts';
export { patternText } from './pattern.ts';
export { type DayPlan, type PlannedStop, type PlanPlace, sideLetter } from './plan.ts';
export { planDay } from './plan-day.ts';
export { isDrawn, type RunPart } from './run-parts.ts';
export type { Place, Run } from './runs.ts';
export { KG_PER_LB } from './sizes.ts';
