import {
  type CsvFile,
  type Diagnostic,
  type DisplayUnits,
  type EnrichedWaypoint,
  type OptionValues,
  type PlanPlugin,
  Refusal,
  type Survey,
} from '../../shared/contract/index.ts';
import type { DayPlan, dayPlanOptions } from '../../shared/day/index.ts';
import { readZones } from '../../shared/geo/index.ts';
import { indexSurvey } from '../../shared/survey/index.ts';
import { type DayOrder, notEnriched, pageWithoutRoutes, type Zone } from '../../shared/text/index.ts';
import {
  formatPlanCsv,
  formatPlanGpx,
  formatPlanText,
  isWhole,
  type planOptions,
  readLake,
  readLogs,
  runsOf,
} from '../day/index.ts';
import { renderPlanPage } from '../page/index.ts';

/** Inputs of a plan; all but marks and logs are already read. */
export interface PlanJob {
  readonly lakeFiles: readonly string[];
  readonly repair: boolean;
  readonly survey: Survey;
  readonly plugin: Pick<PlanPlugin<typeof dayPlanOptions>, 'run'>;
  /** Options of the plugin, to which `log` is added. */
  readonly options: OptionValues<typeof dayPlanOptions>;
  readonly values: OptionValues<typeof planOptions>;
  readonly units: DisplayUnits;
  /** Of the program, for the foot of the page. */
  readonly version: string;
  /** Of the clock that the plan goes by. */
  readonly zone?: Zone;
  /** Of days written in numbers alone. */
  readonly dateOrder?: DayOrder;
}

export interface PlanHooks {
  readonly report: (diagnostic: Diagnostic) => void;
  readonly progress: (share: number) => void;
}

/** A file of the plan, not yet written. */
export interface PlanOutput {
  readonly path: string;
  readonly bytes: Uint8Array;
}

export interface PlanResult {
  readonly plan: DayPlan;
  /** For standard output. */
  readonly text: string;
  readonly outputs: readonly PlanOutput[];
}

/**
 * Reads marks and logs, makes the plan, and formats what was asked for; nothing is written.
 *
 * @throws Refusal when an input is refused or the options contradict each other.
 */
export async function runPlan(job: PlanJob, hooks: PlanHooks): Promise<PlanResult> {
  const waypoints = readLake(job.lakeFiles, job.repair, hooks.report);
  if (waypoints.length > 0 && waypoints.every(({ fields }) => Object.keys(fields).length === 0))
    throw new Refusal([notEnriched(job.lakeFiles)]);
  const names = waypoints.map(({ waypoint }) => waypoint.name);
  const log: CsvFile | undefined =
    (await readLogs(job.values.log ?? [], names, job.zone, hooks.report, job.dateOrder)) ?? job.options.log;
  const errors: Diagnostic[] = [];
  const plan = job.plugin.run(
    { waypoints, survey: job.survey, index: indexSurvey(job.survey) },
    { ...job.options, log },
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
  return {
    plan,
    text: formatPlanText(plan, job.units),
    outputs: [
      ...(await planOutputs(plan, waypoints, job, hooks.report)),
      ...(await boatOutputs(plan, waypoints, { ...job, options: { ...job.options, log } }, hooks)),
    ],
  };
}

/** The page for the boat, if asked for. */
async function boatOutputs(
  plan: DayPlan,
  waypoints: readonly EnrichedWaypoint[],
  { values: { boat }, lakeFiles, survey, units, options }: PlanJob,
  { progress }: PlanHooks,
): Promise<PlanOutput[]> {
  if (boat === undefined) return [];
  const { boatPage, lakeTitle } = await import('./boat-output.ts');
  const title = lakeTitle(lakeFiles);
  const bytes = boatPage({ title, date: plan.date, units, waypoints, options, plan, survey, progress });
  return [{ path: boat, bytes }];
}

async function planOutputs(
  plan: DayPlan,
  waypoints: readonly EnrichedWaypoint[],
  { values, units, survey, options, version }: PlanJob,
  report: (diagnostic: Diagnostic) => void,
): Promise<PlanOutput[]> {
  const outputs: PlanOutput[] = [];
  const add = (path: string | undefined, text: string): void => {
    if (path !== undefined) outputs.push({ path, bytes: new TextEncoder().encode(text) });
  };
  if (values.page !== undefined) {
    const { zones } = options;
    const title = `Day plan ${plan.date}`;
    add(
      values.page,
      renderPlanPage({
        ...{ title, date: plan.date, units, waypoints, survey, plan, version },
        zones: zones === undefined ? [] : readZones(zones.value, zones.file).zones,
      }),
    );
  }
  if (values.csv !== undefined) add(values.csv, formatPlanCsv(plan, units));
  if (values.gpx !== undefined) {
    add(values.gpx, formatPlanGpx(plan, units, values.routePoints));
    const undrawn = runsOf(plan).filter((run) => !isWhole(run)).length;
    if (undrawn > 0) report(pageWithoutRoutes(undrawn));
  }
  return outputs;
}
