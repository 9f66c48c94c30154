import { type Diagnostic, Refusal, stackOf } from '../../shared/contract/index.ts';
import { needsInternals, type StagesResult } from '../../shared/engine/index.ts';
import { optionMessages as says } from '../../shared/text/index.ts';
import { identityOf, type TargetOptions } from '../files/index.ts';
import { gpxMergeOptions } from '../formats/gpx/index.ts';
import type { JobSummary } from './batch/run-jobs.ts';
import { type CommandIo, createCommandIo, reportingAll } from './command-io.ts';
import { outputOptions } from './core-options.ts';
import {
  checkOutputs,
  enrichedOutputs,
  type Output,
  type OutputValues,
  sideOutputs,
  writeOutputs,
  writerOutputs,
} from './enrich-outputs.ts';
import { type Enrichment, runEnrichment } from './enrichment.ts';
import { findInputs } from './input-files.ts';
import { generationOf, reportMixed } from './lake-records.ts';
import { enrichedPaths } from './output-paths.ts';
import { MARK_STAGES, type ResolvedCommand, resolveCommand } from './resolve-command.ts';
import { formatChanges, sinceLastTime } from './since-last-time.ts';

const SHAPE = {
  name: 'enrich',
  summary: 'Turns waypoints and sonar logs into enriched GPX: structure, boat positions, casts and lures.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
} as const;

/** Width of the summary when the terminal's width is unknown, characters. */
const WIDTH = 110;

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, [...MARK_STAGES, 'writer']);
  const files = findInputs(resolved);
  const io = createCommandIo(resolved.inputs.json, resolved.units);
  const values = placeOfOutput(resolved);
  const targets: TargetOptions = {
    force: values.force,
    inPlace: values.inPlace,
    inputs: files.waypoints,
    sources: [...files.logs, ...files.tracks, ...resolved.sideFiles],
    asRead: new Map(files.waypoints.map((path) => [path, identityOf(path)])),
  };
  // Merged output goes where the first file's output would.
  const isMerged = resolved.values('merge', gpxMergeOptions).merge;
  const gpxInputs = isMerged ? files.waypoints.slice(0, 1) : files.waypoints;
  const gpxPaths = values.enriched ? enrichedPaths(gpxInputs, values.out, values.inPlace) : [];
  // A run that may replace outputs rewrites all of them.
  const isReplacing = values.force || values.inPlace;
  if (!isReplacing) await reportingAll(io, async () => reportMixed(resolved, files, io.report));
  checkOutputs(gpxPaths, values, targets, resolved.pipeline);
  const sets = { figures: values.svg, split: gpxPaths };
  const generation = generationOf('enrich', resolved, files, sets, io.report);
  const hasPictures =
    values.report !== undefined || values.svg !== undefined || needsInternals(resolved.pipeline);
  const { result, outputs, isUsable } = await reportingAll(io, async () => {
    const enrichment = await runEnrichment(resolved, files, io, hasPictures);
    io.progress.show('Writing');
    const enriched = values.enriched
      ? await enrichedOutputs(enrichment, gpxPaths, values, io.report)
      : { outputs: [], given: [] };
    const outputs = [
      ...enriched.outputs,
      ...(await sideOutputs(values, enrichment, io)),
      ...(await writerOutputs(enrichment, targets, io.report)),
    ];
    await reportTackle(values.log, enrichment, io);
    await writeOutputs(outputs, targets, generation, () => enrichment.ledger.add(enriched.given));
    if (isReplacing) reportMixed(resolved, files, io.report);
    const isUsable = enrichment.diagnostics.every(({ severity }) => severity !== 'error');
    return { result: enrichment.result, outputs, isUsable };
  });
  await finish(resolved, result, outputs, io);
  return isRefused(result) || !isUsable ? 1 : 0;
}

/** Reports which lure and distance the logs of the lake's days favor; this changes nothing. */
async function reportTackle(
  paths: readonly string[] | undefined,
  { resolved, result }: Enrichment,
  io: CommandIo,
): Promise<void> {
  if (paths === undefined) return;
  const { reportLoggedTackle } = await import('./logged-lake.ts');
  (await reportLoggedTackle(resolved, paths, result.waypoints, io.report)).forEach(io.report);
}

/**
 * Output options with at most one of `out` and `inPlace`. The command line wins over the configuration.
 *
 * @throws Refusal (status 2) when both come from the same place.
 */
function placeOfOutput(resolved: ResolvedCommand): OutputValues {
  const values = resolved.values('output', outputOptions);
  if (values.out === undefined || !values.inPlace) return values;
  const isTyped = (flag: string): boolean =>
    resolved.given.some((item) => item.flag === flag && item.wording.startsWith('--'));
  const [isOut, isInPlace] = [isTyped('out'), isTyped('in-place')];
  if (isOut === isInPlace) throw new Refusal([says['value out-twice'](undefined)], 2);
  return isOut ? { ...values, inPlace: false } : { ...values, out: undefined };
}

const isRefused = ({ waypoints }: StagesResult): boolean =>
  waypoints.some(({ diagnostics }) => diagnostics.some(({ severity }) => severity === 'error'));

/** Failures of plugins with their place in the plugin, the first of each. */
const failuresIn = (said: readonly Diagnostic[]): readonly Diagnostic[] => [
  ...new Map(
    said
      .filter((diagnostic) => stackOf(diagnostic) !== '')
      .toReversed()
      .map((diagnostic) => [diagnostic.message, diagnostic]),
  ).values(),
];

async function finish(
  resolved: ResolvedCommand,
  result: StagesResult,
  made: readonly Output[],
  io: CommandIo,
): Promise<void> {
  const { waypoints } = result;
  const changes = sinceLastTime(waypoints, resolved.units);
  const said = waypoints.flatMap(({ diagnostics }) => diagnostics);
  if (resolved.inputs.json) [...said, ...changes].forEach(io.report);
  // The summary says which spots a failed plugin cost; this says where the plugin failed.
  else for (const failure of failuresIn(said)) io.report(failure);
  process.send?.(jobSummary(result, resolved.sideFiles));
  if (resolved.inputs.quiet || resolved.inputs.json) return;
  const { formatSummary } = await import('./terminal-summary.ts');
  io.note(formatSummary(waypoints, resolved.units, process.stderr.columns ?? WIDTH));
  if (result.leftOut.length > 0) io.note(`left out, for the reasons above: ${result.leftOut.join(', ')}`);
  if (changes.length > 0) io.note(formatChanges(changes));
  const shown = made.filter(({ path }) => path !== '-' && !path.endsWith('.svg'));
  for (const { path } of shown) io.note(`wrote ${path}`);
  const figures = made.filter(({ path }) => path.endsWith('.svg')).length;
  if (figures > 0) io.note(`wrote ${figures} figures`);
}

function jobSummary({ waypoints, survey }: StagesResult, sideFiles: readonly string[]): JobSummary {
  const withBoat = waypoints.filter(
    ({ fields }) => fields.downslope !== undefined || fields.upslope !== undefined,
  );
  const soundings = survey.logs.reduce((sum, { account }) => sum + account.used, 0);
  return { waypoints: waypoints.length, withBoat: withBoat.length, soundings, sideFiles };
}
