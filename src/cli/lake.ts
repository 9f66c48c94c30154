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
import { type RunLakeRounds, withLake } from '../run/index.ts';
import { lakeOptions } from './command-options.ts';
import { findInputs } from './input-files.ts';
import { reportStopped, writeOutputs } from './lake-records.ts';
import { comparisonText, lakeText, linesGpx, passesGpx } from './lake-text.ts';
import { pipelineJob, runLogs } from './pipeline-job.ts';
import { LOG_STAGES, type ResolvedCommand, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'lake',
  summary:
    'Maps the bottom of the whole lake from sonar logs: contours, lips, ridges, humps and holes, each with its confidence.',
  argument: { name: '[logs...]', help: 'sonar logs, as with --soundings' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const command = await resolveCommand(SHAPE, argv, LOG_STAGES);
  const { io, units } = command;
  const options = command.values('lake', lakeOptions);
  const files = findInputs(command, [], command.positionals);
  if (files.logs.length === 0) throw new Refusal([says['command-line nothing-sounded'](undefined)], 2);
  const folder = options.layers;
  const targets = { force: options.force, sources: [...files.logs, ...files.tracks, ...command.sideFiles] };
  await reportStopped(command, files, targets);
  if (folder !== undefined) makeFolder(folder, folder, targets);
  const names = folder === undefined ? [] : LAKE_FILES.map((name) => join(folder, name));
  const paths = [...names, ...[options.lines, options.passes].filter((path) => path !== undefined)];
  checkTargets(paths, targets);
  const { lake, lastDay, leftOut } = await io.reportingAll(async () => {
    const { survey, leftOut } = await runLogs(command, files);
    const grid = { ...LAKE_GRID, cell: options.cell, reach: options.reach };
    return onLake(command, files.logs, options.cell, async (work) => {
      const lake = await work(modelRounds(survey, grid));
      return { lake, leftOut, lastDay: lake && (await lastDayOf(survey, lake.grid, grid, work)) };
    });
  });
  io.clearProgress();
  if (lake === undefined) throw new Refusal([says['command-line nothing-sounded'](undefined)], 1);
  const { grid, lines, areas } = lake;
  const passes = nextPasses(grid, lines, areas);
  io.print(lakeText(lake, passes, units));
  if (lastDay !== undefined) io.print(comparisonText(lastDay.day, lastDay.comparison, units));
  const layers = folder === undefined ? [] : await lakeFiles(grid, lines, areas, options.isobaths, units);
  const contents = [
    ...layers.map(({ content }) => content),
    ...(options.lines === undefined ? [] : [linesGpx(lines, units)]),
    ...(options.passes === undefined ? [] : [passesGpx(passes, units)]),
  ];
  const outputs = contents.map((content, k) => ({ path: paths[k], content }));
  await io.reportingAll(() => writeOutputs(command, files, outputs, targets, {}));
  return leftOut.length === 0 ? 0 : 1;
}

/**
 * Calls `use` with a function that runs lake rounds. @param cell Node spacing, m.
 *
 * @throws Refusal when the lake is too large.
 */
export async function onLake<T>(
  command: ResolvedCommand,
  logs: readonly string[],
  cell: number,
  use: (work: RunLakeRounds) => Promise<T>,
): Promise<T> {
  const { report, progress } = command.io;
  const modeling = (share: number): void => progress('Modeling the lake', share);
  try {
    return await withLake(pipelineJob(command, logs), report, modeling, use);
  } catch (cause) {
    if (cause instanceof RangeError)
      throw new Refusal([says['command-line lake-too-large'](undefined, cell)]);
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
