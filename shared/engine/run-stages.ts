import { unseenOf } from '../bottom/index.ts';
import {
  type Diagnostic,
  type EnrichedWaypoint,
  type LakeBottom,
  type LogSummary,
  Refusal,
  type RowAccount,
  type Soundings,
  type Survey,
  type Unseen,
  type Waypoint,
} from '../contract/index.ts';
import { type LakeModel, lakeBottom } from '../lake/index.ts';
import { fromBuffers, type IndexBuffers } from '../survey/index.ts';
import { lakeTooLarge } from '../text/index.ts';
import type { Pipeline } from './plan-pipeline.ts';
import { type Enter, runSurveySteps } from './run-logs.ts';
import { createSurveyBuilder } from './survey-builder.ts';

/** Where the stages say things; a hook that throws ends the run. */
export interface StageHooks {
  readonly report: (diagnostic: Diagnostic) => void;
  readonly progress: (what: string, share?: number) => void;
  readonly enter?: Enter;
}

/** What the stages made. */
export interface StagesResult {
  /** Logs that were refused while others could be used; why is among what was reported. */
  readonly leftOut: readonly string[];
  readonly waypoints: readonly EnrichedWaypoint[];
  readonly survey: Survey;
  /** The whole lake; absent where no plugin reads it or it could not be modeled. */
  readonly lake?: LakeModel | undefined;
}

/** A log after the log plugins, with what was said of it. */
export interface LogEntry {
  readonly soundings: Soundings;
  readonly account: RowAccount;
  readonly diagnostics: readonly Diagnostic[];
}

/** Every log that could be used, in order. */
export interface LogEntries {
  readonly logs: readonly { readonly file: string; readonly log: LogEntry }[];
  readonly leftOut: readonly string[];
}

/** All that the waypoint plugins look at, as threads can send it. */
export interface LakeBuffers {
  readonly survey: Survey;
  readonly index: IndexBuffers;
  /** What the lake hides between its passes; absent where no plugin reads it. */
  readonly unseen?: Unseen | undefined;
  /** The whole lake; absent as in `StagesResult`. */
  readonly lake?: LakeBottom | undefined;
}

/** What differs between a run with threads and one without. */
export interface StageParts {
  readonly readLogs: () => Promise<LogEntries>;
  /** Begins to index a survey as the logs gave it; what it gives is asked for with the survey as the plugins left it. */
  readonly startIndex: (joined: Survey) => (survey: Survey) => Promise<IndexBuffers>;
  /** @throws RangeError where the soundings span too much ground for one grid. */
  readonly modelLake: (survey: Survey, progress: (share: number) => void) => Promise<LakeModel | undefined>;
  readonly runWaypoints: (
    lake: LakeBuffers,
    progress: (done: number) => void,
  ) => Promise<readonly EnrichedWaypoint[]>;
}

/** What the stages run on. */
export interface StageInputs {
  readonly pipeline: Pipeline;
  readonly waypoints: readonly Waypoint[];
  /** As an earlier run of the stages left it: logs are not read again. */
  readonly survey?: Survey | undefined;
}

/**
 * Logs to survey to enriched waypoints, in the order planned: the same for the command, a program and a page.
 *
 * @throws Refusal when an input is refused whole.
 */
export async function runStages(
  { pipeline, waypoints, survey: made }: StageInputs,
  parts: StageParts,
  hooks: StageHooks,
): Promise<StagesResult> {
  const { logs, leftOut } = made === undefined ? await parts.readLogs() : { logs: [], leftOut: [] };
  const joined = made ?? joinLogs(logs, hooks);
  const comparing = (share: number): void => hooks.progress('Comparing passes', share);
  const clean = (): Survey =>
    made ?? runSurveySteps(joined, waypoints, pipeline.survey, hooks.report, comparing, hooks.enter);
  if (waypoints.length === 0) return { survey: clean(), waypoints: [], leftOut };
  const indexOf = parts.startIndex(joined);
  const survey = clean();
  const index = await indexOf(survey);
  const isRead = pipeline.waypoint.some(({ plugin }) => plugin.stage === 'waypoint' && plugin.readsUnseen);
  const unseen = isRead ? unseenOf(survey, fromBuffers(index)) : undefined;
  const lake = await lakeFor(pipeline, survey, parts, hooks);
  const bottom = lake && lakeBottom(lake.grid, lake.lines, lake.areas);
  const planning = (done: number): void => hooks.progress('Planning waypoints', done / waypoints.length);
  const enriched = await parts.runWaypoints({ survey, index, unseen, lake: bottom }, planning);
  return { survey, waypoints: enriched, leftOut, lake };
}

/** The whole lake, where a plugin reads it; without it where it spans too much ground for one grid. */
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
    report({ ...lakeTooLarge(), severity: 'warning' });
    return undefined;
  }
}

/**
 * Every log, one after another; one that is refused is left out and the others go on.
 *
 * @param reduce Reads a log and runs the log plugins on it.
 * @throws Refusal when no log can be used, and for a failure of a plugin or of the command: it is no fault of a log.
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
    const log = await orRefusal(() => reduce(file, progress));
    if (isRefused(log)) refused.set(file, log);
    else logs.push({ file, log });
  }
  const reasons = [...refused.values()].flat();
  if (logs.length === 0 && reasons.length > 0) throw new Refusal(reasons);
  reasons.forEach(hooks.report);
  return { logs, leftOut: [...refused.keys()] };
}

const isRefused = (log: LogEntry | readonly Diagnostic[]): log is readonly Diagnostic[] => Array.isArray(log);

/** What was reduced, or why it was refused. */
async function orRefusal(reduce: () => Promise<LogEntry>): Promise<LogEntry | readonly Diagnostic[]> {
  try {
    return await reduce();
  } catch (cause) {
    const isOfLog =
      cause instanceof Refusal &&
      cause.status === 1 &&
      cause.diagnostics.every(({ code }) => !code.startsWith('plugin/'));
    if (!isOfLog) throw cause;
    return cause.diagnostics;
  }
}

/** One survey of all logs. */
function joinLogs(logs: LogEntries['logs'], hooks: StageHooks): Survey {
  const builder = createSurveyBuilder();
  for (const { file, log } of logs) {
    log.diagnostics.forEach(hooks.report);
    const number = builder.addLog(file);
    builder.addPart(number, log.soundings);
    builder.endLog(number, log.account, depthUnitOf(log));
  }
  return builder.build();
}

/** Unit that the depths of a log were read in, as the reader said; undefined for one that no sonar shows. */
function depthUnitOf({ diagnostics }: LogEntry): LogSummary['depthUnit'] {
  const said = diagnostics.find(({ code }) => code === 'soundings/depth-unit')?.values?.unit;
  return DEPTH_UNITS.find((unit) => unit === said);
}

const DEPTH_UNITS = ['m', 'ft', 'fm'] as const;
