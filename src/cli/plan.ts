import type { Survey } from '../../shared/contract/index.ts';
import type { DayPlan } from '../../shared/day/index.ts';
import { lakePaths, planOptions } from '../day/index.ts';
import { readInput, type TargetOptions } from '../files/index.ts';
import { HELP_FOOTER } from './cautions.ts';
import { COMMAND_GROUPS } from './command-groups.ts';
import { type CommandIo, createCommandIo, reportingAll } from './command-io.ts';
import type { Enrichment } from './enrichment.ts';
import { findDayLogs, findLogs, fixesOf, type InputFiles } from './input-files.ts';
import { type ResolvedCommand, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'plan',
  summary: 'Plans the day on an enriched lake: which spots, in what order, when to rest them.',
  argument: { name: '<lake...>', help: 'enriched GPX files, or a folder of them' },
  footer: HELP_FOOTER,
} as const;

const PLUGIN = 'day-plan';

/** Prints the plan and writes the requested outputs. @returns Exit status 0; a refused input ends in a Refusal. */
export async function run(argv: readonly string[]): Promise<number> {
  const isTyped = (flag: string): boolean =>
    argv.some((word) => word === flag || word.startsWith(`${flag}=`));
  const hasReport = isTyped('--report');
  const resolved = await resolveCommand(
    SHAPE,
    COMMAND_GROUPS.plan,
    argv,
    ({ name, stage }) =>
      (hasReport && stage !== 'plan' && stage !== 'writer') ||
      stage === 'reader' ||
      stage === 'log' ||
      stage === 'survey' ||
      name === PLUGIN,
  );
  const { planStep } = await import('../engine/plan-lake.ts');
  planStep(resolved);
  const { runPlan } = await import('./run-plan.ts');
  const { checkTargets } = await import('../files/output-target.ts');
  const { writeOutputs } = await import('./enrich-outputs.ts');
  const { expandPaths } = await import('./expand-paths.ts');
  const { generationOf, reportMixed } = await import('./generation-of.ts');
  const io = createCommandIo(resolved.inputs.json, resolved.units);
  const given = resolved.values('plan', planOptions);
  // Pages named only in the configuration are outputs of enrich.
  const values = {
    ...given,
    log: given.log === undefined ? undefined : findDayLogs(given.log),
    boat: isTyped('--boat') ? given.boat : undefined,
  };
  const files: InputFiles = {
    waypoints: lakePaths(resolved.positionals),
    logs: findLogs(resolved),
    tracks: expandPaths(resolved.inputs.tracks ?? [], ['.gpx']),
  };
  const targets: TargetOptions = {
    force: values.force,
    inPlace: false,
    inputs: [],
    sources: [...Object.values(files).flat(), ...(values.log ?? []), ...resolved.sideFiles],
  };
  const report = hasReport ? values.report : undefined;
  const paths = [report, values.page, values.boat, values.csv, values.gpx].filter(
    (path) => path !== undefined,
  );
  if (!values.force) await reportingAll(io, async () => reportMixed(resolved, files, io.report));
  checkTargets(paths, targets);
  const result = await reportingAll(io, async () => {
    const found = report === undefined ? undefined : await enrichLake(resolved, files, io);
    const made = await runPlan(
      resolved,
      {
        lake: files.waypoints,
        repair: resolved.inputs.repair,
        read: readInput,
        survey: found?.result.survey ?? (await planSurvey(resolved, files, io)),
        values,
      },
      { report: io.report, progress: (share) => io.progress.show('Putting stops in order', share) },
    );
    const outputs = [...made.outputs];
    if (report !== undefined && found !== undefined)
      outputs.push({ path: report, bytes: await reportBytes(resolved, found, made.plan) });
    await writeOutputs(outputs, targets, generationOf('plan', resolved, files, {}, io.report));
    if (values.force) reportMixed(resolved, files, io.report);
    return made;
  });
  io.print(resolved.inputs.json ? `${JSON.stringify(result.plan, plainArrays)}\n` : result.text);
  if (!resolved.inputs.quiet && !resolved.inputs.json) for (const path of paths) io.note(`wrote ${path}`);
  return 0;
}

/** Enriches the spots again, since figures need more than the enriched file holds. */
async function enrichLake(resolved: ResolvedCommand, files: InputFiles, io: CommandIo): Promise<Enrichment> {
  const { runEnrichment } = await import('./enrichment.ts');
  const { withThreads } = await import('../run/run-threads.ts');
  return withThreads({ ...resolved, logFiles: files.logs }, (threads) =>
    runEnrichment(resolved, files, threads, io, true),
  );
}

async function reportBytes(resolved: ResolvedCommand, found: Enrichment, plan: DayPlan): Promise<Uint8Array> {
  const { reportInput } = await import('./enrichment.ts');
  const { renderReport } = await import('../page/report-page.ts');
  return new TextEncoder().encode(renderReport({ ...reportInput(resolved, found), plan }));
}

/** Soundings of the lake, cleaned and reduced to the day's water level; none without logs. */
export async function planSurvey(
  resolved: ResolvedCommand,
  { logs, tracks }: InputFiles,
  io: Pick<CommandIo, 'report' | 'progress'>,
): Promise<Survey> {
  if (logs.length === 0) {
    const { joinLogs } = await import('../../shared/engine/join-logs.ts');
    return joinLogs([]);
  }
  const { runGuarded } = await import('../run/guarded-run.ts');
  const { withThreads } = await import('../run/run-threads.ts');
  const { pipelineJob } = await import('./pipeline-job.ts');
  const job = {
    ...(await pipelineJob(resolved, logs, await fixesOf(tracks, io.report))),
    pipeline: { ...resolved.pipeline, waypoint: [] },
  };
  const hooks = { report: io.report, progress: io.progress.show };
  const { survey } = await withThreads(job, (threads) => runGuarded(job, threads, hooks));
  return survey;
}

const plainArrays = (_key: string, value: unknown): unknown =>
  ArrayBuffer.isView(value) ? Array.from(value as Float64Array) : value;
