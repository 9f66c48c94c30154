import { mkdirSync } from 'node:fs';
import { basename, dirname } from 'node:path';
import type { OptionValues } from '../../shared/contract/options.ts';
import { inputNotUsed } from '../../shared/diagnostics/command.ts';
import type { JobSummary } from '../batch/run-jobs.ts';
import { writeAtomically } from '../files/atomic-write.ts';
import { checkTarget, type TargetOptions } from '../files/output-target.ts';
import { watchTemporaryFiles } from '../files/temporary-files.ts';
import { enrichGpx } from '../gpx/enrich-gpx.ts';
import { gpxMergeOptions, gpxOutputOptions } from '../gpx/output-options.ts';
import { runGuarded } from '../pipeline/engine.ts';
import type { PipelineResult } from '../pipeline/run-pipeline.ts';
import { readerOptions } from '../readers/reader-options.ts';
import { formatTable } from '../writers/table.ts';
import { formatSummary } from '../writers/terminal-summary.ts';
import { waypointAddition } from '../writers/waypoint-addition.ts';
import { type CommandIo, createCommandIo } from './command-io.ts';
import { outputOptions } from './core-options.ts';
import { expandPaths } from './expand-paths.ts';
import { enrichedPaths, withSuffix } from './output-paths.ts';
import { type Settled, settle } from './settle.ts';
import { readWaypointFiles, type WaypointFiles } from './waypoint-files.ts';

const SHAPE = {
  name: 'enrich',
  summary: 'Turns waypoints and sonar logs into enriched GPX: structure, boat positions, casts and lures.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
} as const;

const GROUPS = [
  { owner: 'output', options: outputOptions },
  { owner: 'reader', options: readerOptions },
  { owner: 'gpx', options: gpxOutputOptions },
  { owner: 'merge', options: gpxMergeOptions },
] as const;

type Outputs = OptionValues<typeof outputOptions>;

/** An output made whole in memory: nothing is written before all of them are there. */
interface Output {
  readonly path: string;
  readonly bytes: Uint8Array;
}

/** The main job. @returns Exit status: 0, or 1 when a waypoint was refused. */
export async function run(argv: readonly string[]): Promise<number> {
  const settled = await settle(SHAPE, GROUPS, argv);
  const io = createCommandIo(settled.inputs.json);
  const outputs = settled.values('output', outputOptions);
  const files = expandPaths(settled.positionals, ['.gpx']);
  const logFiles = expandPaths(settled.inputs.soundings ?? [], ['.csv', '.gpx']);
  const trackFiles = expandPaths(settled.inputs.tracks ?? [], ['.gpx']);
  const targets: TargetOptions = {
    force: outputs.force,
    inPlace: outputs.inPlace,
    inputs: [...files, ...logFiles, ...trackFiles].filter((file) => file !== '-'),
  };
  const gpxPaths = enrichedPaths(files, outputs.out, outputs.inPlace);
  for (const path of [...gpxPaths, ...sidePaths(outputs)]) checkOutput(path, targets);
  const waypointFiles = readWaypointFiles(files, false);
  for (const { diagnostics } of waypointFiles.documents) diagnostics.forEach(io.say);
  if (waypointFiles.waypoints.length === 0) io.say(inputNotUsed(files.length));
  const result = await enrichWaypoints(settled, waypointFiles, logFiles, outputs, io);
  const made = [
    ...enrichedOutputs(settled, waypointFiles, gpxPaths, result, outputs, io),
    ...(await sideOutputs(settled, outputs, result, basename(files[0]))),
  ];
  await writeOutputs(made, targets);
  finish(settled, result, made, io);
  return result.waypoints.some(({ diagnostics }) => diagnostics.some(({ severity }) => severity === 'error'))
    ? 1
    : 0;
}

/** Paths besides the GPX. */
const sidePaths = ({ table, geojson, report }: Outputs): string[] =>
  [table, geojson, report].filter((path) => path !== undefined);

function checkOutput(path: string, targets: TargetOptions): void {
  if (path === '-') return;
  mkdirSync(dirname(path), { recursive: true });
  checkTarget(path, targets);
}

async function enrichWaypoints(
  settled: Settled,
  { waypoints }: WaypointFiles,
  logFiles: readonly string[],
  outputs: Outputs,
  io: CommandIo,
): Promise<PipelineResult> {
  const result = await runGuarded(
    {
      pipeline: settled.pipeline,
      sources: settled.sources,
      logFiles,
      readerOptions: { ...settled.values('reader', readerOptions), now: Date.now() / 1000 },
      waypoints,
      workers: settled.workers,
      patience: settled.inputs.patience,
      useStore: settled.inputs.store && !settled.pipeline.log.some(({ isOwn }) => isOwn),
      keepInternals: outputs.report !== undefined || outputs.svg !== undefined,
    },
    { report: io.say, progress: io.progress.show },
  );
  io.progress.clear();
  return result;
}

function enrichedOutputs(
  settled: Settled,
  { documents }: WaypointFiles,
  paths: readonly string[],
  { waypoints }: PipelineResult,
  outputs: Outputs,
  io: CommandIo,
): Output[] {
  const style = {
    units: settled.units,
    bearings: outputs.bearings === 'true' ? ('T' as const) : ('M' as const),
    angles: outputs.angles,
  };
  return documents.flatMap((document, position) => {
    const own = waypoints.filter(({ waypoint }) => waypoint.file === document.file);
    const additions = own.map((enriched) => waypointAddition(enriched, settled.pipeline.fields, style));
    const { parts, diagnostics } = enrichGpx(document, additions, settled.values('gpx', gpxOutputOptions));
    diagnostics.forEach(io.say);
    return parts.map(({ suffix, bytes }) => ({ path: withSuffix(paths[position], suffix), bytes }));
  });
}

/** Table, GeoJSON, page and figures; what draws is loaded only when asked for. */
async function sideOutputs(
  settled: Settled,
  outputs: Outputs,
  result: PipelineResult,
  title: string,
): Promise<Output[]> {
  const made: Output[] = [];
  const add = (path: string, text: string): void => {
    made.push({ path, bytes: new TextEncoder().encode(text) });
  };
  if (outputs.table !== undefined)
    add(outputs.table, await formatTable(result.waypoints, settled.pipeline.fields, settled.units));
  return made;
}

async function writeOutputs(made: readonly Output[], targets: TargetOptions): Promise<void> {
  const temporary = watchTemporaryFiles();
  try {
    for (const { path, bytes } of made) {
      if (path === '-') process.stdout.write(bytes);
      else await writeAtomically(checkTarget(path, targets), bytes, temporary);
    }
  } finally {
    temporary.stop();
  }
}

/** Diagnostics of the waypoints, the summary, and where the outputs are. */
function finish(settled: Settled, result: PipelineResult, made: readonly Output[], io: CommandIo): void {
  const { waypoints } = result;
  if (settled.inputs.json) waypoints.flatMap(({ diagnostics }) => diagnostics).forEach(io.say);
  process.send?.(jobSummary(result));
  if (settled.inputs.quiet) return;
  const width = process.stderr.columns ?? 110;
  io.note(formatSummary(waypoints, settled.units, width));
  for (const { path } of made) if (path !== '-') io.note(`wrote ${path}`);
}

/** What a batch that runs this command counts. */
function jobSummary({ waypoints, survey }: PipelineResult): JobSummary {
  const withBoat = waypoints.filter(
    ({ fields }) => fields.downslope !== undefined || fields.upslope !== undefined,
  );
  const soundings = survey.logs.reduce((sum, { account }) => sum + account.used, 0);
  return { waypoints: waypoints.length, withBoat: withBoat.length, soundings };
}
