export { dayProblems, readSizes } from './day.ts';
export { LOG_COLUMNS } from './day-log.ts';
export type { KnownWater } from './known-water.ts';
export { LakeWays } from './lake-ways.ts';
export { type DayPlanOptions, dayPlanOptions } from './options.ts';
export { outlookText } from './outlook-text.ts';
export { patternText } from './pattern.ts';
export { type DayPlan, type PlannedStop, type PlanPlace, sideLetter } from './plan.ts';
export { lakeWays, planDay, readWater } from './plan-day.ts';
export { isDrawn, type RunPart } from './run-parts.ts';
export type { Place, Run } from './runs.ts';
export { lakeSpots } from './set-up.ts';
export { KG_PER_LB } from './sizes.ts';
export type { FishingSpot, LeftOut, SpotSide } from './spots.ts';
export {
  boatText,
  castText,
  chanceText,
  fallbackText,
  minutesOf,
  runText,
  stopName,
  waitText,
} from './stop-words.ts';
