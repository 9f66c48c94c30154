export { checkReport, leftOutLines } from './check-report.ts';
export { type EnrichedLake, enrichLake, type LakeInputs } from './enrich-lake.ts';
export { additionStyle, enrichedGpx } from './enriched-gpx.ts';
export {
  type PlanHooks,
  type PlanInputs,
  type PlannedLake,
  planLake,
  zoneOf,
} from './plan-lake.ts';
export type { WaypointFiles } from './waypoint-files.ts';
export { numberWaypoints, readWaypointFiles } from './waypoint-files.ts';
