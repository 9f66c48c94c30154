export { castMessages, magneticMessages, type SideName } from './cast-messages.ts';
export { type CastPlanner, castPlanner } from './cast-planner.ts';
export {
  CAST_OPTIONS,
  castOption,
  dateOption,
  draftOption,
  fishDepthOption,
  unitsOption,
  waterLevelOption,
  windOption,
  zonesOption,
} from './common-options.ts';
export { changeSince, TURNED } from './earlier-cast.ts';
export { deepestFish } from './fish.ts';
export { hazardsUnder } from './hazards.ts';
export { planNextAngles } from './next-angles.ts';
export { BY_BOAT, OVER_MARK, otherMarksAt } from './other-marks.ts';
export { isPlan, planSides, type Sides } from './plan-sides.ts';
export { leastDepthAround } from './side.ts';
export { rankCasts } from './spot-score.ts';
export { NEAR_BOTTOM } from './touch.ts';
export { parseWind, WIND_PATTERN } from './wind.ts';
