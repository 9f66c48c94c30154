import {
  type CsvFile,
  type Diagnostic,
  type EnrichedWaypoint,
  type OptionValues,
  type PlanPlugin,
  Refusal,
  type Report,
  type Survey,
} from '../../shared/contract/index.ts';
import { type DayPlan, type dayPlanOptions, dayProblems } from '../../shared/day/index.ts';
import type { ResolvedRun, Step } from '../../shared/engine/index.ts';
import { indexSurvey } from '../../shared/survey/index.ts';
import {
  type DayOrder,
  parseZone,
  refusalMessages as refusals,
  pluginMessages as says,
} from '../../shared/text/index.ts';
import { demandFields, readLake, readLogs } from '../day/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import { waypointOptions } from './waypoint-files.ts';

const PLUGIN = 'day-plan';

interface PlanInputs {
  /** Names of enriched GPX files, or the spots as data. */
  readonly lake: readonly string[] | readonly EnrichedWaypoint[];
  readonly log: readonly string[];
  readonly read: (file: string) => Uint8Array;
  readonly survey: Survey;
}

interface PlanHooks {
  readonly report: Report;
  readonly progress: (share: number) => void;
}

type PlanStep = Step<PlanPlugin<typeof dayPlanOptions, unknown>> & {
  readonly options: OptionValues<typeof dayPlanOptions>;
};

/** Returns the step that makes the plan. @throws Refusal (status 2) if missing or if options conflict. */
export function planStep({ pipeline }: ResolvedRun): PlanStep {
  const step = pipeline.plan.find(({ plugin }) => plugin.name === PLUGIN) as PlanStep | undefined;
  if (step === undefined) throw new Refusal([says.needed(undefined, 'plan', PLUGIN)], 2);
  const problems = dayProblems(step.options);
  if (problems.length > 0) throw new Refusal(problems, 2);
  return step;
}

export interface PlannedLake {
  readonly plan: DayPlan;
  readonly waypoints: readonly EnrichedWaypoint[];
  /** Options of the plugin, including the log. */
  readonly options: OptionValues<typeof dayPlanOptions>;
}

/** Makes the plan from marks and logs. @throws Refusal for a bad input, or if options conflict. */
export async function planLake(run: ResolvedRun, inputs: PlanInputs, hooks: PlanHooks): Promise<PlannedLake> {
  const { plugin, options } = planStep(run);
  const waypoints = isNamed(inputs.lake)
    ? readLake(inputs.lake, inputs.read, run.values('core', waypointOptions).repair, hooks.report)
    : inputs.lake;
  demandFields(waypoints, []);
  const names = waypoints.map(({ waypoint }) => waypoint.name);
  const log = (await dayLogs(run, inputs.log, inputs.read, names, hooks.report)) ?? options.log;
  const errors: Diagnostic[] = [];
  const plan = plugin.run(
    { waypoints, survey: inputs.survey, index: indexSurvey(inputs.survey) },
    { ...options, log },
    {
      report: (diagnostic) => {
        if (diagnostic.severity === 'error') errors.push(diagnostic);
        else hooks.report(diagnostic);
      },
      progress: hooks.progress,
      isWanted: () => false,
    },
  ) as DayPlan | undefined;
  if (errors.length > 0 || plan === undefined) throw new Refusal(errors);
  return { plan, waypoints, options: { ...options, log } };
}

const isNamed = (lake: PlanInputs['lake']): lake is readonly string[] => typeof lake[0] !== 'object';

/**
 * Reads logs of fished stops with the run's time zone and its order of day and month.
 *
 * @param names Names of the marks.
 * @throws Refusal for a log that cannot be read, or an unknown zone.
 */
export function dayLogs(
  run: ResolvedRun,
  files: readonly string[],
  read: PlanInputs['read'],
  names: readonly string[],
  report: Report,
): Promise<CsvFile | undefined> {
  const { tz } = run.values('reader', readerOptions);
  const zone = tz === undefined ? undefined : parseZone(tz);
  if (tz !== undefined && zone === undefined) throw new Refusal([refusals.zone({}, tz)], 2);
  const { repair } = run.values('core', waypointOptions);
  return readLogs(files, read, names, zone, report, dayOrder(run), repair);
}

/** Returns the run's order of day and month in dates that are only numbers. */
export const dayOrder = (run: ResolvedRun): DayOrder =>
  run.values('reader', readerOptions).dateOrder === 'dmy' ? 'dmy' : 'mdy';
