import type { Diagnostic, DisplayUnits, OptionValues } from '../../shared/contract/index.ts';
import type { DayPlan } from '../../shared/day/index.ts';
import type { ResolvedRun } from '../../shared/engine/index.ts';
import { pageWithoutRoutes } from '../../shared/text/index.ts';
import {
  formatPlanCsv,
  formatPlanGpx,
  formatPlanText,
  isWhole,
  type planOptions,
  runsOf,
} from '../day/index.ts';
import { type PlanHooks, type PlanInputs, planLake } from '../engine/index.ts';
import { PLAN_STYLE, planSections, type ReportDay, renderPlanPage } from '../page/index.ts';

/** What is planned and written. */
export interface PlanJob extends Omit<PlanInputs, 'log'> {
  readonly values: OptionValues<typeof planOptions>;
}

/** A file of the plan, not yet written. */
export interface PlanOutput {
  readonly path: string;
  readonly bytes: Uint8Array;
}

export interface PlanResult {
  readonly plan: DayPlan;
  /** The plan as a part of a page. */
  readonly day: ReportDay;
  /** For standard output. */
  readonly text: string;
  readonly outputs: readonly PlanOutput[];
}

/**
 * Reads marks and logs, makes the plan, and formats what was asked for; nothing is written.
 *
 * @throws Refusal when an input is refused or the options contradict each other.
 */
export async function runPlan(run: ResolvedRun, job: PlanJob, hooks: PlanHooks): Promise<PlanResult> {
  const plan = await planLake(run, { ...job, log: job.values.log ?? [] }, hooks);
  return {
    plan,
    day: { markup: planSections(plan, run.units, 'part'), style: PLAN_STYLE },
    text: formatPlanText(plan, run.units),
    outputs: await planOutputs(plan, run.units, job.values, hooks.report),
  };
}

async function planOutputs(
  plan: DayPlan,
  units: DisplayUnits,
  values: PlanJob['values'],
  report: (diagnostic: Diagnostic) => void,
): Promise<PlanOutput[]> {
  const outputs: PlanOutput[] = [];
  const add = (path: string | undefined, text: string): void => {
    if (path !== undefined) outputs.push({ path, bytes: new TextEncoder().encode(text) });
  };
  if (values.page !== undefined) add(values.page, renderPlanPage(plan, units));
  if (values.csv !== undefined) add(values.csv, formatPlanCsv(plan, units));
  if (values.gpx !== undefined) {
    add(values.gpx, formatPlanGpx(plan, units, values.routePoints));
    const undrawn = runsOf(plan).filter((run) => !isWhole(run)).length;
    if (undrawn > 0) report(pageWithoutRoutes(undrawn));
  }
  return outputs;
}
