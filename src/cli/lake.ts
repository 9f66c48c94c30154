import { join } from 'node:path';
import { Refusal, type Survey } from '../../shared/contract/index.ts';
import {
  compareLakes,
  gridRounds,
  LAKE_GRID,
  type LakeComparison,
  type LakeGrid,
  type LakeGridOptions,
  modelRounds,
  nextPasses,
} from '../../shared/lake/index.ts';
import { pickRows } from '../../shared/math/index.ts';
import { dayName, dayNumber } from '../../shared/survey/index.ts';
import { optionMessages as says } from '../../shared/text/index.ts';
import { checkTargets, makeFolder } from '../files/index.ts';
import { LAKE_FILES, lakeFiles } from '../formats/layers/index.ts';
import { type PipelineJob, type RunLakeRounds, runGuarded, withLake } from '../run/index.ts';
import { type CommandIo, createCommandIo, reportingAll } from './command-io.ts';
import { lakeOptions } from './core-options.ts';
import { writeOutputs } from './enrich-outputs.ts';
import { expandPaths } from './expand-paths.ts';
import { findLogs, fixesOf } from './input-files.ts';
import { generationOf, reportMixed } from './lake-records.ts';
import { comparisonText, lakeText, linesGpx, passesGpx } from './lake-text.ts';
import { pipelineJob } from './pipeline-job.ts';
import { LOG_STAGES, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'lake',
  summary:
    'Models the whole sounded bottom: contours, lips, ridges, humps and holes, each with its confidence, as open map layers.',
  argument: { name: '[logs...]', help: 'sounding logs, as with --soundings' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, LOG_STAGES);
  const options = resolved.values('lake', lakeOptions);
  const io = createCommandIo(resolved.inputs.json, resolved.units);
  const logFiles = findLogs(resolved, resolved.positionals);
  if (logFiles.length === 0) throw new Refusal([says['command-line nothing-sounded'](undefined)], 2);
  const trackFiles = expandPaths(resolved.inputs.tracks ?? [], ['.gpx']);
  const folder = options.layers;
  const places = { force: options.force, sources: [...logFiles, ...trackFiles, ...resolved.sideFiles] };
  const files = { logs: logFiles, waypoints: [], tracks: trackFiles };
  if (!options.force) await reportingAll(io, async () => reportMixed(resolved, files, io.report));
  if (folder !== undefined) makeFolder(folder, folder, places);
  const names = folder === undefined ? [] : LAKE_FILES.map((name) => join(folder, name));
  const paths = [...names, ...[options.lines, options.passes].filter((path) => path !== undefined)];
  checkTargets(paths, places);
  const { lake, lastDay, leftOut } = await reportingAll(io, async () => {
    const job = pipelineJob(resolved, logFiles, await fixesOf(trackFiles, io.report));
    const result = await runGuarded(job, { report: io.report, progress: io.progress.show });
    const { survey } = result;
    const grid = { ...LAKE_GRID, cell: options.cell, reach: options.reach };
    return onLake(job, io, async (work) => {
      const lake = await work(modelRounds(survey, grid));
      return { ...result, lake, lastDay: lake && (await lastDayOf(survey, lake.grid, grid, work)) };
    });
  });
  io.progress.clear();
  if (lake === undefined) throw new Refusal([says['command-line nothing-sounded'](undefined)], 1);
  const { grid, lines, areas } = lake;
  const passes = nextPasses(grid, lines, areas);
  io.print(lakeText(grid, lines, areas, passes, resolved.units));
  if (lastDay !== undefined) io.print(comparisonText(lastDay.day, lastDay.comparison, resolved.units));
  const layers =
    folder === undefined ? [] : await lakeFiles(grid, lines, areas, options.isobaths, resolved.units);
  const contents = [
    ...layers.map(({ content }) => content),
    ...(options.lines === undefined ? [] : [linesGpx(lines, resolved.units)]),
    ...(options.passes === undefined ? [] : [passesGpx(passes, resolved.units)]),
  ];
  const outputs = contents.map((content, k) => ({ path: paths[k], content }));
  await reportingAll(io, async () => {
    await writeOutputs(outputs, places, generationOf('lake', resolved, files, {}, io.report));
    if (options.force) reportMixed(resolved, files, io.report);
  });
  return leftOut.length === 0 ? 0 : 1;
}

/** Provides the function that works on a lake, with a job's store. @throws Refusal when the lake is too large. */
export async function onLake<T>(
  job: PipelineJob,
  io: CommandIo,
  use: (work: RunLakeRounds) => Promise<T>,
): Promise<T> {
  const progress = (share: number): void => io.progress.show('Modeling the lake', share);
  try {
    return await withLake(job, io.report, progress, use);
  } catch (cause) {
    if (cause instanceof RangeError) throw new Refusal([says['command-line lake-too-large'](undefined)]);
    throw cause;
  }
}

async function lastDayOf(
  survey: Survey,
  after: LakeGrid,
  options: LakeGridOptions,
  work: RunLakeRounds,
): Promise<{ readonly day: string; readonly comparison: LakeComparison } | undefined> {
  const days = survey.time.map(dayNumber);
  const last = days.reduce((most, day) => Math.max(most, day), -1);
  const rows = [...days.keys()].filter((row) => days[row] < last);
  if (last < 0 || rows.length === 0) return undefined;
  const before = await work(gridRounds(pickRows(survey, rows), options));
  return before && { day: dayName(last), comparison: compareLakes(before, after) };
}
