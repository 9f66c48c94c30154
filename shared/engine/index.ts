export { lakeOf } from './lake.ts';
export {
  collectSettings,
  defaultText,
  isPath,
  type OptionGroup,
  ownFlag,
  placeholder,
  type Setting,
  siSuffix,
} from './option-groups.ts';
export {
  ownFieldName,
  type Pipeline,
  type PluginOptions,
  type Step,
  waypointSteps,
} from './plan-pipeline.ts';
export { type ResolvedRun, resolveRun } from './resolve-run.ts';
export { type Given, resolveSettings } from './resolve-settings.ts';
export { type Enter, type ReducedPart, reducePart, takeRows } from './run-logs.ts';
export {
  type LakeBuffers,
  type LogEntries,
  type LogEntry,
  reduceLogs,
  runStages,
  type StageHooks,
  type StagesResult,
} from './run-stages.ts';
export { runWaypoint } from './run-waypoint.ts';
export { folderOf, needsInternals, runWriters, writersAsked } from './run-writers.ts';
export { joinSoundings } from './survey-builder.ts';
export { withoutInternals } from './without-internals.ts';
