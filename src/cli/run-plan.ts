import type { OptionValues, Report } from '../../shared/contract/index.ts';
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
import type { Output } from './enrich-outputs.ts';

/** What to plan and write. */
export interface PlanJob extends Omit<PlanInputs, 'log'> {
  readonly values: OptionValues<typeof planOptions>;
}

/**
 * Reads marks and logs, makes the plan, and formats the requested outputs; nothing is written.
 *
 * @returns The plan, its text for standard output, and its files.
 * @throws Refusal when an input is refused or the options contradict each other.
 */
export async function runPlan(
  run: ResolvedRun,
  job: PlanJob,
  hooks: PlanHooks,
): Promise<{ readonly plan: DayPlan; readonly text: string; readonly outputs: readonly Output[] }> {
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
): Promise<Output[]> {
  if (boat === undefined) return [];
  const { boatPage, lakeTitle } = await import('./boat-output.ts');
  const title = lakeTitle(lake as readonly string[]);
  const content = boatPage({ title, date: plan.date, units, waypoints, options, plan, survey, progress });
  return [{ path: boat, content }];
}

async function planOutputs(
  { plan, waypoints, options: { zones } }: PlannedLake,
  { units }: ResolvedRun,
  { values, survey }: PlanJob,
  report: Report,
): Promise<Output[]> {
  const outputs: Output[] = [];
  const add = (path: string, content: string): void => void outputs.push({ path, content });
  if (values.page !== undefined) {
    const page = renderPlanPage({
      ...{
        title: `Day plan ${plan.date}`,
        date: plan.date,
        units,
        waypoints,
        survey,
        plan,
        version: VERSION,
      },
      zones: zones === undefined ? [] : readZones(zones.value, zones.file).zones,
    });
    add(values.page, page);
  }
  if (values.csv !== undefined) add(values.csv, formatPlanCsv(plan, units, values.cellGuard));
  if (values.gpx !== undefined) {
    add(values.gpx, formatPlanGpx(plan, units, values.routePoints));
    const undrawn = runsOf(plan).filter((run) => !isWhole(run)).length;
    if (undrawn > 0) report(pageWithoutRoutes(undrawn));
  }
  return outputs;
}
