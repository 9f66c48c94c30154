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
  commandNeedsPlugin,
  notEnriched,
  parseZone,
  soundingRefusals as refusals,
  type TimeZone,
} from '../../shared/text/index.ts';
import { readLake, readLogs } from '../day/index.ts';
import { readerOptions } from '../formats/csv/index.ts';

/** Name of the plugin that makes the plan. */
const PLUGIN = 'day-plan';

interface PlanInputs {
  /** Names of enriched GPX files, or the spots as data. */
  readonly lake: readonly string[] | readonly EnrichedWaypoint[];
  /** Names of fishing logs. */
  readonly log: readonly string[];
  readonly repair: boolean;
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

/**
 * The step that makes the plan. @throws Refusal (status 2) when its plugin is missing or its options contradict each
 * other.
 */
export function planStep({ pipeline }: ResolvedRun): PlanStep {
  const step = pipeline.plan.find(({ plugin }) => plugin.name === PLUGIN) as PlanStep | undefined;
  if (step === undefined) throw new Refusal([commandNeedsPlugin('plan', PLUGIN)], 2);
  const problems = dayProblems(step.options);
  if (problems.length > 0) throw new Refusal(problems, 2);
  return step;
}

/** A plan with the marks it was made from. */
export interface PlannedLake {
  readonly plan: DayPlan;
  readonly waypoints: readonly EnrichedWaypoint[];
  /** Options of the plugin, including the log. */
  readonly options: OptionValues<typeof dayPlanOptions>;
}

/**
 * Reads marks and logs and makes the plan.
 *
 * @throws Refusal when an input is refused or the options contradict each other.
 */
export async function planLake(run: ResolvedRun, inputs: PlanInputs, hooks: PlanHooks): Promise<PlannedLake> {
  const { plugin, options } = planStep(run);
  const { tz, dateOrder } = run.values('reader', readerOptions);
  const zone = zoneOf(tz);
  const waypoints = isNamed(inputs.lake)
    ? readLake(inputs.lake, inputs.read, inputs.repair, hooks.report)
    : inputs.lake;
  if (waypoints.length > 0 && waypoints.every(({ fields }) => Object.keys(fields).length === 0))
    throw new Refusal([notEnriched(isNamed(inputs.lake) ? inputs.lake : [])]);
  const names = waypoints.map(({ waypoint }) => waypoint.name);
  const order = dateOrder === 'dmy' ? 'dmy' : 'mdy';
  const log: CsvFile | undefined =
    (await readLogs(inputs.log, inputs.read, names, zone, hooks.report, order)) ?? options.log;
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

/** The time zone given by `--tz`. @throws Refusal when there is no zone of that name. */
export function zoneOf(text: string | undefined): TimeZone | undefined {
  if (text === undefined) return undefined;
  const zone = parseZone(text);
  if (zone === undefined) throw new Refusal([refusals.zone({}, text)], 2);
  return zone;
}
