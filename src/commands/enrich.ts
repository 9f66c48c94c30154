import type { JobSummary } from '../batch/run-jobs.ts';
import type { TargetOptions } from '../files/output-target.ts';
import { gpxMergeOptions } from '../gpx/output-options.ts';
import type { PipelineResult } from '../pipeline/run-pipeline.ts';
import { HELP_FOOTER } from './cautions.ts';
import { COMMAND_GROUPS } from './command-groups.ts';
import { type CommandIo, createCommandIo, sayingAll } from './command-io.ts';
import { outputOptions } from './core-options.ts';
import type { Output } from './enrich-outputs.ts';
import { enrichedPaths } from './output-paths.ts';
import { type Settled, settle } from './settle.ts';

const SHAPE = {
  name: 'enrich',
  summary: 'Turns waypoints and sonar logs into enriched GPX: structure, boat positions, casts and lures.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
  footer: HELP_FOOTER,
} as const;

/** Width of the summary where the terminal does not tell, characters. */
const WIDTH = 110;

/** The main job. @returns Exit status: 0, or 1 when something about a waypoint was refused. */
export async function run(argv: readonly string[]): Promise<number> {
  const settled = await settle(SHAPE, COMMAND_GROUPS.enrich, argv);
  // Only now what reads and writes: help and a bad command line should cost little more than Node itself.
  const { checkOutputs, enrichedOutputs, sideOutputs, writeOutputs } = await import('./enrich-outputs.ts');
  const { enrich, findInputs, reportInput } = await import('./enrichment.ts');
  const { withThreads } = await import('../pipeline/run-pipeline.ts');
  const { openSecondLook } = await import('../gpx/second-look.ts');
  const io = createCommandIo(settled.inputs.json, settled.units);
  const values = settled.values('output', outputOptions);
  const files = findInputs(settled);
  const targets: TargetOptions = {
    force: values.force,
    inPlace: values.inPlace,
    inputs: [...files.waypoints, ...files.logs, ...files.tracks].filter((file) => file !== '-'),
  };
  // Merged, everything goes where the first file would.
  const isMerged = settled.values('merge', gpxMergeOptions).merge;
  const gpxInputs = isMerged ? files.waypoints.slice(0, 1) : files.waypoints;
  const gpxPaths = enrichedPaths(gpxInputs, values.out, values.inPlace);
  checkOutputs(gpxPaths, values, targets);
  const hasPictures = values.report !== undefined || values.svg !== undefined;
  const { result, made } = await sayingAll(io, async () => {
    // Threads start while the waypoints are read.
    return withThreads({ ...settled, logFiles: files.logs }, async (threads) => {
      const enrichment = await enrich(settled, files, threads, io, hasPictures);
      io.progress.show('Writing');
      const { lookAgain, accepted } = openSecondLook(threads);
      const outputs = [
        ...(await enrichedOutputs(settled, enrichment, gpxPaths, values, io.say, lookAgain)),
        ...(await sideOutputs(settled, values, enrichment, reportInput(settled, enrichment), io.say)),
      ];
      await accepted();
      await writeOutputs(outputs, targets);
      return { result: enrichment.result, made: outputs };
    });
  });
  await finish(settled, result, made, io);
  return isRefused(result) ? 1 : 0;
}

const isRefused = ({ waypoints }: PipelineResult): boolean =>
  waypoints.some(({ diagnostics }) => diagnostics.some(({ severity }) => severity === 'error'));

/** Diagnostics of the waypoints, the summary, and where the outputs are. */
async function finish(
  settled: Settled,
  result: PipelineResult,
  made: readonly Output[],
  io: CommandIo,
): Promise<void> {
  const { waypoints } = result;
  if (settled.inputs.json) waypoints.flatMap(({ diagnostics }) => diagnostics).forEach(io.say);
  process.send?.(jobSummary(result));
  if (settled.inputs.quiet) return;
  const { formatSummary } = await import('../writers/terminal-summary.ts');
  io.note(formatSummary(waypoints, settled.units, process.stderr.columns ?? WIDTH));
  const shown = made.filter(({ path }) => path !== '-' && !path.endsWith('.svg'));
  for (const { path } of shown) io.note(`wrote ${path}`);
  const figures = made.filter(({ path }) => path.endsWith('.svg')).length;
  if (figures > 0) io.note(`wrote ${figures} figures`);
}

/** What a batch that runs this command counts. */
function jobSummary({ waypoints, survey }: PipelineResult): JobSummary {
  const withBoat = waypoints.filter(
    ({ fields }) => fields.downslope !== undefined || fields.upslope !== undefined,
  );
  const soundings = survey.logs.reduce((sum, { account }) => sum + account.used, 0);
  return { waypoints: waypoints.length, withBoat: withBoat.length, soundings };
}
