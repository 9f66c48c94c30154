export { checkPluginShape } from './check-plugin.ts';
export { type JoinedLog, joinLogs, joinSoundings } from './join-logs.ts';
export { isInLog, type LogOptions, optionsForInput, optionsInLog } from './log-options.ts';
export { limitTexts } from './parse-value.ts';
export {
  type ByStage,
  columnName,
  FIXED_COLUMNS,
  ofAllStages,
  ownFields,
  type Pipeline,
  pluginFieldName,
  STAGES,
  type Step,
  waypointSteps,
} from './plan-pipeline.ts';
export type * from './program.ts';
export { localDay, parseJson, type ResolvedRun, resolveRun } from './resolve-run.ts';
export { type Enter, type ReducedPart, reducePart, stepsFor, takeRows } from './run-logs.ts';
export { failureOf, guarded, valueKind } from './run-on-copies.ts';
export {
  type LakeBuffers,
  type LogEntries,
  type LogEntry,
  reduceLogs,
  runStages,
  type StageHooks,
  type StagesResult,
} from './run-stages.ts';
export { openWaypoints, type WaypointWork } from './run-waypoint.ts';
export { folderOf, needsInternals, runWriters, writerPositions, writersAsked } from './run-writers.ts';
export * from './settings.ts';
