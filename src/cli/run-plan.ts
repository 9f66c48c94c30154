import type { Diagnostic, OptionValues } from '../../shared/contract/index.ts';
import type { DayPlan } from '../../shared/day/index.ts';
import type { ResolvedRun } from '../../shared/engine/index.ts';
import { readZones } from '../../shared/geo/index.ts';
import { pageWithoutRoutes } from '../../shared/text/index.ts';
import {
  formatPlanCsv,
  formatPlanGpx,
  formatPlanText,
  isWhole,
  type planOptions,
  runsOf,
} from '../day/index.ts';
import { type PlanHooks, type PlanInputs, type PlannedLake, planLake } from '../engine/index.ts';
import { renderPlanPage } from '../page/index.ts';
import { VERSION } from '../version.ts';

/** What to plan and write. */
export interface PlanJob extends Omit<PlanInputs, 'log'> {
  readonly values: OptionValues<typeof planOptions>;
}

/** A file of the plan that has not been written yet. */
export interface PlanOutput {
  readonly path: string;
  readonly bytes: Uint8Array;
}

export interface PlanResult {
  readonly plan: DayPlan;
  /** Text for standard output. */
  readonly text: string;
  readonly outputs: readonly PlanOutput[];
}

/**
 * Reads marks and logs, makes the plan, and formats the requested outputs; nothing is written.
 *
 * @throws Refusal when an input is refused or the options contradict each other.
 */
export async function runPlan(run: ResolvedRun, job: PlanJob, hooks: PlanHooks): Promise<PlanResult> {
  const planned = await planLake(run, { ...job, log: job.values.log ?? [] }, hooks);
  return {
    plan: planned.plan,
    text: formatPlanText(planned.plan, run.units),
    outputs: [
      ...(await planOutputs(planned, run, job, hooks.report)),
      ...(await boatOutputs(planned, run, job, hooks)),
    ],
  };
}

/** The page for the boat, if requested. */
async function boatOutputs(
  { plan, waypoints, options }: PlannedLake,
  { units }: ResolvedRun,
  { values: { boat }, lake, survey }: PlanJob,
  { progress }: PlanHooks,
): Promise<PlanOutput[]> {
  if (boat === undefined) return [];
  const { boatPage, lakeTitle } = await import('./boat-output.ts');
  const title = lakeTitle(lake as readonly string[]);
  const bytes = boatPage({ title, date: plan.date, units, waypoints, options, plan, survey, progress });
  return [{ path: boat, bytes }];
}

async function planOutputs(
  { plan, waypoints, options: { zones } }: PlannedLake,
  { units }: ResolvedRun,
  { values, survey }: PlanJob,
  report: (diagnostic: Diagnostic) => void,
): Promise<PlanOutput[]> {
  const outputs: PlanOutput[] = [];
  const add = (path: string | undefined, text: string): void => {
    if (path !== undefined) outputs.push({ path, bytes: new TextEncoder().encode(text) });
  };
  if (values.page !== undefined) {
    const title = `Day plan ${plan.date}`;
    add(
      values.page,
      renderPlanPage({
        ...{ title, date: plan.date, units, waypoints, survey, plan, version: VERSION },
        zones: zones === undefined ? [] : readZones(zones.value, zones.file).zones,
      }),
    );
  }
  if (values.csv !== undefined) add(values.csv, formatPlanCsv(plan, units, values.cellGuard));
  if (values.gpx !== undefined) {
    add(values.gpx, formatPlanGpx(plan, units, values.routePoints));
    const undrawn = runsOf(plan).filter((run) => !isWhole(run)).length;
    if (undrawn > 0) report(pageWithoutRoutes(undrawn));
  }
  return outputs;
}
