import { estimateUnseen } from '../bottom/index.ts';
import {
  type Diagnostic,
  type EnrichedWaypoint,
  type LakeBottom,
  Refusal,
  type Report,
  type RowAccount,
  type Soundings,
  type Survey,
  type Unseen,
  type Waypoint,
} from '../contract/index.ts';
import { type LakeModel, lakeBottom } from '../lake/index.ts';
import { fromBuffers, type IndexBuffers, indexBuffers } from '../survey/index.ts';
import { optionMessages as says } from '../text/index.ts';
import { type JoinedLog, joinLogs } from './join-logs.ts';
import type { Pipeline } from './plan-pipeline.ts';
import { type Enter, runSurveySteps } from './run-logs.ts';

export interface StageHooks {
  readonly report: Report;
  readonly progress: (what: string, share?: number) => void;
  readonly enter?: Enter;
}

export interface StagesResult {
  /** Logs that were refused; the reported messages say why. */
  readonly leftOut: readonly string[];
  readonly waypoints: readonly EnrichedWaypoint[];
  readonly survey: Survey;
  /** Model of the whole lake; absent if no plugin reads it, there are no waypoints, or it cannot be made. */
  readonly lake?: LakeModel | undefined;
}

export interface LogEntry {
  readonly soundings: Soundings;
  readonly account: RowAccount;
  readonly diagnostics: readonly Diagnostic[];
}

/** The logs that could be used, in the order given, and the names of the refused logs. */
export interface LogEntries {
  readonly logs: readonly { readonly file: string; readonly log: LogEntry }[];
  readonly leftOut: readonly string[];
}

/** Data that all waypoints share, in a form that can be sent to threads. */
export interface LakeBuffers {
  readonly survey: Survey;
  readonly index: IndexBuffers;
  /** Estimate of the forms that the passes missed; absent when no plugin reads it. */
  readonly unseen?: Unseen | undefined;
  /** Bottom of the whole lake; absent when there is no model of the lake. */
  readonly lake?: LakeBottom | undefined;
}

/** Parts of a run that differ with and without threads. */
export interface StageParts {
  readonly readLogs: () => Promise<LogEntries>;
  /** @throws RangeError when the soundings extend too far for one grid. */
  readonly modelLake: (survey: Survey, progress: (share: number) => void) => Promise<LakeModel | undefined>;
  readonly runWaypoints: (
    lake: LakeBuffers,
    progress: (done: number) => void,
  ) => Promise<readonly EnrichedWaypoint[]>;
}

export interface StageInputs {
  readonly pipeline: Pipeline;
  readonly waypoints: readonly Waypoint[];
  /** A survey made earlier; when given, no logs are read and no survey plugins run. */
  readonly survey?: Survey | undefined;
}

/**
 * Runs all stages, from logs to enriched waypoints; shared by the command, the package and the browser.
 *
 * @throws Refusal when every log is refused, or when a reader, log or survey plugin or the command is at
 * fault.
 */
export async function runStages(
  { pipeline, waypoints, survey: made }: StageInputs,
  parts: StageParts,
  hooks: StageHooks,
): Promise<StagesResult> {
  const { logs, leftOut } = made === undefined ? await parts.readLogs() : { logs: [], leftOut: [] };
  for (const { log } of logs) log.diagnostics.forEach(hooks.report);
  const joined = made ?? joinLogs(logs.map(({ file, log }) => joinedLog(file, log)));
  const comparing = (share: number): void => hooks.progress('Comparing passes', share);
  const survey =
    made ?? runSurveySteps(joined, waypoints, pipeline.survey, hooks.report, comparing, hooks.enter);
  if (waypoints.length === 0) return { survey, waypoints: [], leftOut };
  const index = indexBuffers(survey);
  const isRead = pipeline.waypoint.some(({ plugin }) => plugin.stage === 'waypoint' && plugin.readsUnseen);
  const unseen = isRead ? estimateUnseen(survey, fromBuffers(index)) : undefined;
  const lake = await lakeFor(pipeline, survey, parts, hooks);
  const bottom = lake && lakeBottom(lake.grid, lake.lines, lake.areas);
  const planning = (done: number): void => hooks.progress('Planning waypoints', done / waypoints.length);
  const enriched = await parts.runWaypoints({ survey, index, unseen, lake: bottom }, planning);
  return { survey, waypoints: enriched, leftOut, lake };
}

async function lakeFor(
  pipeline: Pipeline,
  survey: Survey,
  { modelLake }: StageParts,
  { report, progress }: StageHooks,
): Promise<LakeModel | undefined> {
  const isRead = pipeline.waypoint.some(({ plugin }) => plugin.stage === 'waypoint' && plugin.readsLake);
  if (survey.count === 0 || !isRead) return undefined;
  try {
    return await modelLake(survey, (share) => progress('Modeling the lake', share));
  } catch (cause) {
    if (!(cause instanceof RangeError)) throw cause;
    report({ ...says['command-line lake-not-used'](undefined), severity: 'warning' });
    return undefined;
  }
}

/**
 * Reduces every log in turn. A log that is refused is left out, and the run continues with the next log.
 *
 * @param reduce Reads a log and runs the log plugins on it.
 * @throws Refusal when every log is refused, or when a plugin or the command is at fault, not a log.
 */
export async function reduceLogs(
  files: readonly string[],
  reduce: (file: string, progress: (share: number) => void) => Promise<LogEntry>,
  hooks: StageHooks,
): Promise<LogEntries> {
  const logs: { file: string; log: LogEntry }[] = [];
  const refused = new Map<string, readonly Diagnostic[]>();
  for (const [position, file] of files.entries()) {
    const progress = (share: number): void =>
      hooks.progress(`Reading ${file}`, (position + share) / files.length);
    progress(0);
    try {
      logs.push({ file, log: await reduce(file, progress) });
    } catch (cause) {
      if (!isOfLog(cause)) throw cause;
      refused.set(file, cause.diagnostics);
    }
  }
  const reasons = [...refused.values()].flat();
  if (logs.length === 0 && reasons.length > 0) throw new Refusal(reasons);
  reasons.forEach(hooks.report);
  return { logs, leftOut: [...refused.keys()] };
}

/** True when the log is at fault, not a plugin or the command. */
const isOfLog = (cause: unknown): cause is Refusal =>
  cause instanceof Refusal &&
  cause.status === 1 &&
  cause.diagnostics.every(({ code }) => !code.startsWith('plugin/'));

/** Converts a log for the survey. The depth unit is taken from the reader's message about it. */
function joinedLog(file: string, { soundings, account, diagnostics }: LogEntry): JoinedLog {
  const said = diagnostics.find(({ code }) => code === 'soundings/depth-unit')?.values?.unit;
  const depthUnit = DEPTH_UNITS.find((unit) => unit === said);
  return { file, account, ...(depthUnit && { depthUnit }), soundings };
}

const DEPTH_UNITS = ['m', 'ft', 'fm'] as const;
