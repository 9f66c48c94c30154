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
import { runGuarded } from '../run/index.ts';
import { VERSION } from '../version.ts';
import { type CommandIo, createCommandIo, reportingAll } from './command-io.ts';
import { type Output, writeOutputs } from './enrich-outputs.ts';
import { reportInput, runEnrichment } from './enrichment.ts';
import { expandPaths } from './expand-paths.ts';
import { findDayLogs, findLogs, fixesOf, type InputFiles } from './input-files.ts';
import { generationOf, reportMixed } from './lake-records.ts';
import { pipelineJob } from './pipeline-job.ts';
import { LOG_STAGES, MARK_STAGES, type ResolvedCommand, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'plan',
  summary: 'Plans the day on an enriched lake: which spots, in what order, when to rest them.',
  argument: { name: '<lake...>', help: 'enriched GPX files, or a folder of them' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  // Pages named only in the configuration are outputs of enrich.
  const isTyped = (flag: string): boolean =>
    argv.some((word) => word === flag || word.startsWith(`${flag}=`));
  const isReported = isTyped('--report');
  const resolved = await resolveCommand(SHAPE, argv, [...(isReported ? MARK_STAGES : LOG_STAGES), 'plan']);
  planStep(resolved);
  const { inputs, units } = resolved;
  const io = createCommandIo(inputs.json, units);
  const given = resolved.values('plan', planOptions);
  const log = given.log === undefined ? [] : findDayLogs(given.log);
  const report = isReported ? given.report : undefined;
  const values = { ...given, report, boat: isTyped('--boat') ? given.boat : undefined };
  const files: InputFiles = {
    waypoints: lakePaths(resolved.positionals),
    logs: findLogs(resolved),
    tracks: expandPaths(inputs.tracks ?? [], ['.gpx']),
  };
  const sources = [...Object.values(files).flat(), ...log, ...resolved.sideFiles];
  const targets = { force: values.force, sources };
  const all = [report, values.page, values.boat, values.csv, values.gpx];
  const paths = all.filter((path) => path !== undefined);
  if (!values.force) await reportingAll(io, async () => reportMixed(resolved, files, io.report));
  checkTargets(paths, targets);
  const plan = await reportingAll(io, async () => {
    // Figures need more than the enriched file holds, so the spots are enriched again.
    const found = report === undefined ? undefined : await runEnrichment(resolved, files, io, true);
    const survey = found?.result.survey ?? (await planSurvey(resolved, files, io));
    const request = { lake: files.waypoints, log, repair: inputs.repair, read: readInput, survey };
    const progress = (share: number): void => io.progress.show('Putting stops in order', share);
    const planned = await planLake(resolved, request, { report: io.report, progress });
    const outputs = await planOutputs(planned, values, files, survey, resolved, io, progress);
    if (report !== undefined && found !== undefined) {
      const content = renderReport({ ...reportInput(found), plan: planned.plan });
      outputs.push({ path: report, content });
    }
    await writeOutputs(outputs, targets, generationOf('plan', resolved, files, {}, io.report));
    if (values.force) reportMixed(resolved, files, io.report);
    return planned.plan;
  });
  io.print(inputs.json ? `${JSON.stringify(plan, plainArrays)}\n` : formatPlanText(plan, units));
  if (!inputs.quiet && !inputs.json) for (const path of paths) io.note(`wrote ${path}`);
  return 0;
}

/** Soundings of the lake, cleaned and reduced to the day's water level; none without logs. */
export async function planSurvey(
  resolved: ResolvedCommand,
  { logs, tracks }: InputFiles,
  io: Pick<CommandIo, 'report' | 'progress'>,
): Promise<Survey> {
  if (logs.length === 0) return joinLogs([]);
  const job = {
    ...pipelineJob(resolved, logs, await fixesOf(tracks, io.report)),
    pipeline: { ...resolved.pipeline, waypoint: [] },
  };
  const hooks = { report: io.report, progress: io.progress.show };
  return (await runGuarded(job, hooks)).survey;
}

async function planOutputs(
  { plan, waypoints, options }: PlannedLake,
  values: OptionValues<typeof planOptions>,
  files: InputFiles,
  survey: Survey,
  { units }: ResolvedCommand,
  { report }: CommandIo,
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
    if (undrawn > 0) report(says['route-waypoints'](undefined, undrawn));
  }
  if (values.boat !== undefined) {
    const { boatPage, lakeTitle } = await import('./boat-output.ts');
    add(values.boat, boatPage({ title: lakeTitle(files.waypoints), ...page, options, progress }));
  }
  return outputs;
}

const plainArrays = (_key: string, value: unknown): unknown =>
  ArrayBuffer.isView(value) ? Array.from(value as Float64Array) : value;
