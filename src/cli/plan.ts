import { type OptionValues, Refusal, type Survey } from '../../shared/contract/index.ts';
import { type DayPlan, type dayPlanOptions, dayProblems } from '../../shared/day/index.ts';
import { commandNeedsPlugin } from '../../shared/text/index.ts';
import { lakeFiles, planOptions } from '../day/index.ts';
import type { TargetOptions } from '../files/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import { VERSION } from '../version.ts';
import { HELP_FOOTER } from './cautions.ts';
import { COMMAND_GROUPS } from './command-groups.ts';
import { type CommandIo, createCommandIo, sayingAll } from './command-io.ts';
import type { Enrichment } from './enrichment.ts';
import { findDayLogs, findLogs, type InputFiles } from './input-files.ts';
import { type Settled, settle } from './settle.ts';
import { zoneOf } from './zone-of.ts';

const SHAPE = {
  name: 'plan',
  summary: 'Plans the day on an enriched lake: which spots, in what order, when to rest them.',
  argument: { name: '<lake...>', help: 'enriched GPX files, or a folder of them' },
  footer: HELP_FOOTER,
} as const;

const PLUGIN = 'day-plan';

/** Prints the plan and writes what was asked for. @returns Exit status 0; a refused input ends with a Refusal. */
export async function run(argv: readonly string[]): Promise<number> {
  const isTyped = (flag: string): boolean =>
    argv.some((word) => word === flag || word.startsWith(`${flag}=`));
  const hasReport = isTyped('--report');
  const settled = await settle(
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
  const step = settled.pipeline.plan.find(({ plugin }) => plugin.name === PLUGIN);
  if (step === undefined) throw new Refusal([commandNeedsPlugin(SHAPE.name, PLUGIN)], 2);
  const options = step.options as OptionValues<typeof dayPlanOptions>;
  const problems = dayProblems(options);
  if (problems.length > 0) throw new Refusal(problems, 2);
  const { runPlan } = await import('./run-plan.ts');
  const { checkTargets } = await import('../files/output-target.ts');
  const { writeOutputs } = await import('./enrich-outputs.ts');
  const { expandPaths } = await import('./expand-paths.ts');
  const io = createCommandIo(settled.inputs.json, settled.units);
  const given = settled.values('plan', planOptions);
  // Pages named only by the configuration belong to enrich.
  const values = {
    ...given,
    log: given.log === undefined ? undefined : findDayLogs(given.log),
    boat: isTyped('--boat') ? given.boat : undefined,
  };
  const files: InputFiles = {
    waypoints: lakeFiles(settled.positionals),
    logs: findLogs(settled),
    tracks: expandPaths(settled.inputs.tracks ?? [], ['.gpx']),
  };
  const targets: TargetOptions = {
    force: values.force,
    inPlace: false,
    inputs: [],
    sources: [...Object.values(files).flat(), ...(values.log ?? []), ...settled.sideFiles],
  };
  const report = hasReport ? values.report : undefined;
  const paths = [report, values.page, values.boat, values.csv, values.gpx].filter(
    (path) => path !== undefined,
  );
  checkTargets(paths, targets);
  const zone = await zoneOf(settled.values('reader', readerOptions).tz);
  const result = await sayingAll(io, async () => {
    const found = report === undefined ? undefined : await enrichLake(settled, files, io);
    const made = await runPlan(
      {
        lakeFiles: files.waypoints,
        repair: settled.inputs.repair,
        survey: found?.result.survey ?? (await surveyOf(settled, files, io)),
        plugin: step.plugin,
        options,
        values,
        units: settled.units,
        version: VERSION,
        zone,
        dateOrder: settled.values('reader', readerOptions).dateOrder === 'dmy' ? 'dmy' : 'mdy',
      },
      { report: io.say, progress: (share) => io.progress.show('Putting stops in order', share) },
    );
    const outputs = [...made.outputs];
    if (report !== undefined && found !== undefined)
      outputs.push({ path: report, bytes: await reportBytes(settled, found, made.plan, io) });
    await writeOutputs(outputs, targets);
    return made;
  });
  io.print(result.text);
  if (!settled.inputs.quiet && !settled.inputs.json) for (const path of paths) io.note(`wrote ${path}`);
  return 0;
}

/** Enriches the spots again, since figures need more than the enriched file holds. */
async function enrichLake(settled: Settled, files: InputFiles, io: CommandIo): Promise<Enrichment> {
  const { enrich } = await import('./enrichment.ts');
  const { withThreads } = await import('../run/run-threads.ts');
  return withThreads({ ...settled, logFiles: files.logs }, (threads) =>
    enrich(settled, files, threads, io, true),
  );
}

/** The report page with the plan in it. */
async function reportBytes(
  settled: Settled,
  found: Enrichment,
  plan: DayPlan,
  io: CommandIo,
): Promise<Uint8Array> {
  const { reportInput } = await import('./enrichment.ts');
  const { renderReport } = await import('../page/report-page.ts');
  const { modeledLake } = await import('./modeled-lake.ts');
  return new TextEncoder().encode(
    renderReport({
      ...reportInput(settled, found),
      lake: await modeledLake(found.result.survey, io.progress),
      plan,
    }),
  );
}

/** Soundings of the lake, cleaned and brought to the day's water level; none without logs. */
export async function surveyOf(
  settled: Settled,
  { logs, tracks }: InputFiles,
  io: CommandIo,
): Promise<Survey> {
  if (logs.length === 0) {
    const { createSurveyBuilder } = await import('../run/survey-builder.ts');
    return createSurveyBuilder().build();
  }
  const { runGuarded } = await import('../run/engine.ts');
  const { withThreads } = await import('../run/run-threads.ts');
  const { pipelineJob } = await import('./pipeline-job.ts');
  const { readFixes } = await import('../formats/csv/fixes.ts');
  const fixes = tracks.length === 0 ? undefined : await readFixes(tracks, io.say);
  const job = {
    ...(await pipelineJob(settled, logs, fixes)),
    pipeline: { ...settled.pipeline, waypoint: [] },
  };
  const hooks = { report: io.say, progress: io.progress.show };
  const { survey } = await withThreads(job, (threads) => runGuarded(job, threads, hooks));
  return survey;
}
