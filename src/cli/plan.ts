import type { OptionValues, Survey } from '../../shared/contract/index.ts';
import { joinLogs } from '../../shared/engine/index.ts';
import { readZones } from '../../shared/geo/index.ts';
import { dayPlanMessages as says } from '../../shared/text/index.ts';
import {
  formatPlanCsv,
  formatPlanGpx,
  formatPlanText,
  isWhole,
  lakePaths,
  planOptions,
  runsOf,
} from '../day/index.ts';
import { type PlannedLake, planLake, planStep } from '../engine/index.ts';
import { checkTargets, readInput } from '../files/index.ts';
import { renderPlanPage, renderReport } from '../page/index.ts';
import { VERSION } from '../version.ts';
import { reportInput, runEnrichment } from './enrichment.ts';
import { findDayLogs, findInputs } from './input-files.ts';
import { noteWritten, type Output, reportStopped, writeOutputs } from './lake-records.ts';
import { runLogs } from './pipeline-job.ts';
import { LOG_STAGES, MARK_STAGES, type ResolvedCommand, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'plan',
  summary: 'Plans the day on an enriched lake: which spots, in what order, when to rest them.',
  argument: { name: '<lake...>', help: 'enriched GPX files, or a folder of them' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  // A page named only in the configuration is an output of `enrich`, not of `plan`.
  const isTyped = (flag: string): boolean =>
    argv.some((word) => word === flag || word.startsWith(`${flag}=`));
  const isReported = isTyped('--report');
  const command = await resolveCommand(SHAPE, argv, [...(isReported ? MARK_STAGES : LOG_STAGES), 'plan']);
  planStep(command);
  const { inputs, units, io } = command;
  const given = command.values('plan', planOptions);
  const log = given.log === undefined ? [] : findDayLogs(given.log);
  const report = isReported ? given.report : undefined;
  const values = { ...given, report, boat: isTyped('--boat') ? given.boat : undefined };
  const files = findInputs(command, lakePaths(command.positionals));
  const sources = [...Object.values(files).flat(), ...log, ...command.sideFiles];
  const targets = { force: values.force, sources };
  const all = [report, values.page, values.boat, values.csv, values.gpx];
  const paths = all.filter((path) => path !== undefined);
  await reportStopped(command, files, targets);
  checkTargets(paths, targets);
  const plan = await io.reportingAll(async () => {
    // Figures need more than the enriched file holds, so the spots are enriched again.
    const found = report === undefined ? undefined : await runEnrichment(command, files, true);
    const isSounded = files.logs.length > 0;
    const { survey } =
      found?.result ?? (isSounded ? await runLogs(command, files) : { survey: joinLogs([]) });
    const request = { lake: files.waypoints, log, read: readInput, survey };
    const progress = (share: number): void => io.progress('Putting stops in order', share);
    const planned = await planLake(command, request, { report: io.report, progress });
    const outputs = await planOutputs(command, planned, values, files.waypoints, survey, progress);
    if (report !== undefined && found !== undefined) {
      const content = renderReport({ ...reportInput(found), plan: planned.plan });
      outputs.push({ path: report, content });
    }
    await writeOutputs(command, files, outputs, targets, {});
    return planned.plan;
  });
  io.print(inputs.json ? `${JSON.stringify(plan, plainArrays)}\n` : formatPlanText(plan, units));
  noteWritten(command, paths);
  return 0;
}

async function planOutputs(
  { units, io }: ResolvedCommand,
  { plan, waypoints, options }: PlannedLake,
  values: OptionValues<typeof planOptions>,
  lake: readonly string[],
  survey: Survey,
  progress: (share: number) => void,
): Promise<Output[]> {
  const outputs: Output[] = [];
  const add = (path: string, content: string): void => void outputs.push({ path, content });
  const { date } = plan;
  const page = { date, units, waypoints, survey, plan };
  if (values.page !== undefined) {
    const { zones: given } = options;
    const zones = given === undefined ? [] : readZones(given.value, given.file).zones;
    add(values.page, renderPlanPage({ ...page, title: `Day plan ${date}`, version: VERSION, zones }));
  }
  if (values.csv !== undefined) add(values.csv, formatPlanCsv(plan, units, values.cellGuard));
  if (values.gpx !== undefined) {
    add(values.gpx, formatPlanGpx(plan, units, values.routePoints));
    const undrawn = runsOf(plan).filter((run) => !isWhole(run)).length;
    // Without known water no run is drawn, which is reported by itself.
    if (plan.hasWater && undrawn > 0) io.report(says['route-waypoints'](undefined, undrawn));
  }
  if (values.boat !== undefined) {
    const { boatPage, lakeTitle } = await import('./boat-output.ts');
    add(values.boat, boatPage({ title: lakeTitle(lake), ...page, options, progress }));
  }
  return outputs;
}

const plainArrays = (_key: string, value: unknown): unknown =>
  ArrayBuffer.isView(value) ? Array.from(value as Float64Array) : value;
