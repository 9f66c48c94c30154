import { uniqBy } from 'es-toolkit/array';
import { Refusal, stackOf } from '../../shared/contract/index.ts';
import { needsInternals, type StagesResult } from '../../shared/engine/index.ts';
import { plural, optionMessages as says } from '../../shared/text/index.ts';
import { identityOf, type TargetOptions } from '../files/index.ts';
import { gpxMergeOptions } from '../formats/gpx/index.ts';
import type { JobSummary } from './batch/run-jobs.ts';
import { outputOptions } from './command-options.ts';
import {
  checkOutputs,
  enrichedOutputs,
  type OutputValues,
  sideOutputs,
  writerOutputs,
} from './enrich-outputs.ts';
import { type Enrichment, runEnrichment } from './enrichment.ts';
import { findInputs } from './input-files.ts';
import { noteWritten, type Output, reportStopped, writeOutputs } from './lake-records.ts';
import { enrichedPaths } from './output-paths.ts';
import { MARK_STAGES, type ResolvedCommand, resolveCommand } from './resolve-command.ts';
import { formatChanges, sinceLastTime } from './since-last-time.ts';
import { noteSpots } from './terminal-summary.ts';

const SHAPE = {
  name: 'enrich',
  summary: 'Turns waypoints and sonar logs into enriched GPX: structure, boat positions, casts and lures.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const command = await resolveCommand(SHAPE, argv, [...MARK_STAGES, 'writer']);
  const { io, pipeline, sideFiles } = command;
  const files = findInputs(command);
  const values = placeOfOutput(command);
  const targets: TargetOptions = {
    force: values.force,
    inPlace: values.inPlace,
    inputs: files.waypoints,
    sources: [...files.logs, ...files.tracks, ...sideFiles],
    asRead: new Map(files.waypoints.map((path) => [path, identityOf(path)])),
  };
  // Merged output goes where the first file's output would.
  const isMerged = command.values('merge', gpxMergeOptions).merge;
  const gpxInputs = isMerged ? files.waypoints.slice(0, 1) : files.waypoints;
  const gpxPaths = values.enriched ? enrichedPaths(gpxInputs, values.out, values.inPlace) : [];
  await reportStopped(command, files, targets);
  checkOutputs(gpxPaths, values, targets, pipeline);
  const hasPictures = values.report !== undefined || values.svg !== undefined || needsInternals(pipeline);
  const { enrichment, outputs } = await io.reportingAll(async () => {
    const enrichment = await runEnrichment(command, files, hasPictures);
    io.progress('Writing');
    const enriched = values.enriched
      ? await enrichedOutputs(enrichment, gpxPaths, values)
      : { outputs: [], given: [] };
    const outputs = [
      ...enriched.outputs,
      ...(await sideOutputs(values, enrichment)),
      ...(await writerOutputs(enrichment, targets)),
    ];
    if (values.log !== undefined) {
      const { reportLoggedTackle } = await import('./review.ts');
      await reportLoggedTackle(command, values.log, enrichment.result.waypoints);
    }
    await writeOutputs(command, files, outputs, targets, {
      figures: values.svg,
      split: gpxPaths,
      first: () => enrichment.ledger.add(enriched.given),
    });
    return { enrichment, outputs };
  });
  finish(enrichment, outputs);
  const said = [enrichment, ...enrichment.result.waypoints].flatMap(({ diagnostics }) => diagnostics);
  return said.some(({ severity }) => severity === 'error') ? 1 : 0;
}

/**
 * Returns the output options with at most one of `out` and `inPlace`. The command line wins over the
 * configuration.
 *
 * @throws Refusal (status 2) when the command line gives both, or the configuration does.
 */
function placeOfOutput(command: ResolvedCommand): OutputValues {
  const values = command.values('output', outputOptions);
  if (values.out === undefined || !values.inPlace) return values;
  const isTyped = (flag: string): boolean =>
    command.given.some((item) => item.flag === flag && item.wording.startsWith('--'));
  const [isOut, isInPlace] = [isTyped('out'), isTyped('in-place')];
  if (isOut === isInPlace) throw new Refusal([says['value out-twice'](undefined)], 2);
  return isOut ? { ...values, inPlace: false } : { ...values, out: undefined };
}

function finish({ command, result }: Enrichment, made: readonly Output[]): void {
  const { io, inputs, units, sideFiles } = command;
  const { waypoints, leftOut } = result;
  const changes = sinceLastTime(waypoints, units);
  const said = waypoints.flatMap(({ diagnostics }) => diagnostics);
  if (inputs.json) [...said, ...changes].forEach(io.report);
  else {
    // The summary, if printed, names the spots of a failed plugin. These messages show where in its code the
    // plugin failed.
    const failures = said.filter(
      (diagnostic) => stackOf(diagnostic) !== '' || (inputs.quiet && diagnostic.severity === 'error'),
    );
    uniqBy(failures, ({ message }) => message).forEach(io.report);
  }
  process.send?.(jobSummary(result, sideFiles));
  if (inputs.quiet || inputs.json) return;
  noteSpots(command, waypoints);
  if (leftOut.length > 0) io.note(`left out, for the reasons above: ${leftOut.join(', ')}`);
  if (changes.length > 0) io.note(formatChanges(changes));
  const paths = made.map(({ path }) => path);
  noteWritten(command, paths);
  const figures = paths.filter((path) => path.endsWith('.svg')).length;
  if (figures > 0) io.note(`wrote ${plural(figures, 'figure')}`);
}

function jobSummary({ waypoints, survey }: StagesResult, sideFiles: readonly string[]): JobSummary {
  const withBoat = waypoints.filter(({ fields }) => fields.downslope ?? fields.upslope);
  const soundings = survey.logs.reduce((sum, { account }) => sum + account.used, 0);
  return { waypoints: waypoints.length, withBoat: withBoat.length, soundings, sideFiles };
}
