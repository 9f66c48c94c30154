export { checkReport, leftOutLines, passRoute } from './check-report.ts';
export { type EnrichedLake, enrichLake } from './enrich-lake.ts';
export { dayLogs, dayOrder, type PlannedLake, planLake, planStep } from './plan-lake.ts';
export { settingsOfLogs } from './resolve-request.ts';
export { givenZones, reportFarInputs } from './suspect-inputs.ts';
export {
  additionStyle,
  enrichedGpx,
  numberWaypoints,
  readWaypointFiles,
  type WaypointFiles,
  waypointOptions,
} from './waypoint-files.ts';
