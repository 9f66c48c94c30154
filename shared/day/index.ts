export type { KindLine } from './against-expected.ts';
export { dayProblems, placeNamed, readSizes } from './day.ts';
export { LOG_COLUMNS, type LoggedStop, readLoggedStops } from './day-log.ts';
export type { KnownWater } from './known-water.ts';
export { readMarkNotes, type Wish, withoutWishes } from './marks.ts';
export { type DayPlanOptions, dayPlanOptions } from './options.ts';
export { DISTANCE_STEP, type OverDays, overDaysOf } from './over-days.ts';
export { bandText, patternCountText, patternLineText } from './pattern.ts';
export {
  type DayPlan,
  type PlannedStop,
  type PlanPlace,
  type SideLetter,
  sideLetter,
} from './plan.ts';
export { planDay, readWater, runNetworks } from './plan-day.ts';
export {
  boatText,
  castBearing,
  castText,
  fallbackText,
  minutesOf,
  outlookText,
  percentText,
  placeText,
  runText,
  stopName,
  waitText,
} from './plan-words.ts';
export { type DayReview, HOURS_WIDTH, type Review, reviewDays, type SpotChange } from './review.ts';
export { type ComputedRuns, RunNetworks } from './run-networks.ts';
export type { Run, RunPlace } from './run-parts.ts';
export { isDrawn, type RunPart } from './run-parts.ts';
export { lakeSpots, readNotes } from './set-up.ts';
export { bareSpot, type FishingSpot, type LeftOut, type SpotSide, spotsFromMarks } from './spots.ts';
export { REST_MODEL } from './stock.ts';
