import { omit, pick } from 'es-toolkit/object';
import {
  type Diagnostic,
  type DroppedRows,
  keptReport,
  type LogChange,
  type LogPlugin,
  type LogSummary,
  type Report,
  type RowAccount,
  type SoundingLog,
  type Soundings,
  type Survey,
  type SurveyPlugin,
  type Waypoint,
} from '../contract/index.ts';
import { withoutRows } from './join-logs.ts';
import type { Step } from './plan-pipeline.ts';
import { failureOf, runOnCopies } from './run-on-copies.ts';
import type { ResolvedValues } from './settings.ts';

/**
 * Called with the name of a plugin before it runs, to show which plugin hangs. Called with '' after the last
 * log or survey plugin, after any reader, and before a built-in reader.
 */
export type Enter = (plugin: string) => void;

/** A log after the log plugins, with the number of rows that they dropped, by reason. */
export interface ReducedLog {
  readonly soundings: Soundings;
  readonly dropped: Readonly<Record<string, number>>;
}

/** A part of a log after the log plugins, with their messages. */
export interface ReducedPart extends ReducedLog {
  readonly diagnostics: readonly Diagnostic[];
  /** Number of rows given to the plugins. */
  readonly received: number;
}

/**
 * Runs the log plugins, in order, on one part of a log.
 *
 * @throws Refusal when a plugin fails, because a partly reduced log must not reach the plan.
 */
export function runLogSteps(
  log: SoundingLog,
  steps: readonly Step<LogPlugin>[],
  report: Report,
  enter: Enter = () => {},
): ReducedLog {
  const dropped: Record<string, number> = {};
  let current = log;
  const context = {
    report: (diagnostic: Diagnostic): void =>
      report({
        ...diagnostic,
        place: {
          ...pick(log, diagnostic.place?.line === undefined ? ['file'] : ['file', 'record']),
          ...diagnostic.place,
        },
      }),
    progress: () => {},
    isWanted: () => false,
  };
  for (const step of steps) {
    const change = changeBy(step, enter, current, ['columns', 'dropped', 'reduced'], (log) =>
      step.plugin.run({ log }, step.options as never, context),
    );
    current = dropRows({ ...current, ...change.columns }, change.dropped ?? [], dropped);
    if (change.reduced !== undefined)
      current = {
        ...change.reduced,
        file: current.file,
        part: current.part,
        line: new Uint32Array(change.reduced.count),
      };
  }
  enter('');
  return { soundings: current, dropped };
}

/** Returns the log steps with the options of one log, which win over the options of the step. */
export const stepsFor = (
  steps: readonly Step<LogPlugin>[],
  inputOptions: ResolvedValues | undefined,
): readonly Step<LogPlugin>[] =>
  inputOptions === undefined
    ? steps
    : steps.map((step) => ({ ...step, options: { ...step.options, ...inputOptions.get(step.plugin.name) } }));

/** Runs the log plugins on one part. The result is plain data that can be sent between threads. */
export function reducePart(part: SoundingLog, steps: readonly Step<LogPlugin>[], enter?: Enter): ReducedPart {
  const { diagnostics, report } = keptReport();
  const { soundings, dropped } = runLogSteps(part, steps, report, enter);
  const columns = omit(soundings as SoundingLog, ['file', 'part', 'line', 'record', 'depthFrom']);
  return { soundings: columns, dropped, diagnostics, received: part.count };
}

/** Runs the survey plugins, in order, on the whole survey. @throws Refusal when a plugin fails. */
export function runSurveySteps(
  survey: Survey,
  waypoints: readonly Waypoint[],
  steps: readonly Step<SurveyPlugin>[],
  report: Report,
  progress: (share: number) => void = () => {},
  enter: Enter = () => {},
): Survey {
  let current = survey;
  const context = { report, progress, isWanted: () => false };
  for (const step of steps) {
    const change = changeBy(step, enter, current, ['columns', 'dropped'], (given) =>
      step.plugin.run({ survey: given, logs: given.logs, waypoints }, step.options as never, context),
    );
    current = dropFromSurvey({ ...current, ...change.columns }, change.dropped ?? []);
  }
  enter('');
  return current;
}

function changeBy<S extends Soundings, C extends LogChange>(
  { plugin, isUserPlugin }: Step,
  enter: Enter,
  current: S,
  parts: readonly (keyof LogChange)[],
  run: (given: S) => C,
): C {
  enter(plugin.name);
  try {
    return isUserPlugin === true ? runOnCopies(plugin.name, current, parts, run) : run(current);
  } catch (cause) {
    throw failureOf(plugin.name, cause);
  }
}

type Dropped = readonly DroppedRows[];

function markRows(count: number, dropped: Dropped, each: (reason: string, row: number) => void): Uint8Array {
  const marked = new Uint8Array(count);
  for (const { reason, rows } of dropped) {
    for (let i = 0; i < rows.length; i++) {
      if (marked[rows[i]] === 1) continue;
      marked[rows[i]] = 1;
      each(reason, rows[i]);
    }
  }
  return marked;
}

function dropRows(log: SoundingLog, dropped: Dropped, counts: Record<string, number>): SoundingLog {
  const marked = markRows(log.count, dropped, (reason, row) => {
    counts[reason] = (counts[reason] ?? 0) + log.weight[row];
  });
  return withoutRows(log, marked);
}

/** Removes dropped rows from a survey. In the account of its log, a row counts as `weight` soundings. */
function dropFromSurvey(survey: Survey, dropped: Dropped): Survey {
  const taken = new Map<number, Record<string, number>>();
  const marked = markRows(survey.count, dropped, (reason, row) => {
    const counts = taken.get(survey.log[row]) ?? {};
    counts[reason] = (counts[reason] ?? 0) + survey.weight[row];
    taken.set(survey.log[row], counts);
  });
  const logs = survey.logs.map(
    (log, index): LogSummary => ({ ...log, account: takeRows(log.account, taken.get(index) ?? {}) }),
  );
  return { ...withoutRows(survey, marked), logs };
}

/** Returns an account with more rows dropped, by reason: `used` becomes smaller, `read` stays. */
export function takeRows(account: RowAccount, taken: Readonly<Record<string, number>>): RowAccount {
  const dropped: Record<string, number> = { ...account.dropped };
  let used = account.used;
  for (const [reason, rows] of Object.entries(taken)) {
    dropped[reason] = (dropped[reason] ?? 0) + rows;
    used -= rows;
  }
  return { read: account.read, used, dropped };
}
