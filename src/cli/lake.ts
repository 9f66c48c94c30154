import { join } from 'node:path';
import { type DisplayUnits, fromMeters, Refusal, type Survey } from '../../shared/contract/index.ts';
import {
  AREA_KINDS,
  findLakeAreas,
  findLakeLines,
  LAKE_GRID,
  type LakeArea,
  type LakeGrid,
  type LakeGridOptions,
  type LakeLine,
  LINE_KINDS,
  makeLakeGrid,
} from '../../shared/lake/index.ts';
import { lakeTooLarge, nothingSounded } from '../../shared/text/index.ts';
import { checkTargets, makeFolder, writeAtomically } from '../files/index.ts';
import { fileSource, readFixes } from '../formats/csv/index.ts';
import { formatRoutesGpx } from '../formats/gpx/index.ts';
import { LAKE_FILES, lakeFiles } from '../formats/layers/index.ts';
import { runGuarded, withThreads } from '../run/index.ts';
import { HELP_FOOTER } from './cautions.ts';
import { COMMAND_GROUPS } from './command-groups.ts';
import { createCommandIo, sayingAll } from './command-io.ts';
import { lakeOptions } from './core-options.ts';
import { expandPaths } from './expand-paths.ts';
import { findLogs } from './input-files.ts';
import { pipelineJob } from './pipeline-job.ts';
import type { Progress } from './progress.ts';
import { settle } from './settle.ts';

const SHAPE = {
  name: 'lake',
  summary:
    'Models the whole sounded bottom: contours, lips, ridges, humps and holes, each with how sure it is, as open map layers.',
  argument: { name: '[logs...]', help: 'sounding logs, as with --soundings' },
  footer: HELP_FOOTER,
} as const;

/** Prints what the lake holds and writes the layers asked for. @returns Exit status: 0, or 1 when a log was left out. */
export async function run(argv: readonly string[]): Promise<number> {
  const settled = await settle(
    SHAPE,
    COMMAND_GROUPS.lake,
    argv,
    ({ stage }) => stage === 'reader' || stage === 'log' || stage === 'survey',
  );
  const options = settled.values('lake', lakeOptions);
  const io = createCommandIo(settled.inputs.json, settled.units);
  const logFiles = findLogs(settled, settled.positionals);
  if (logFiles.length === 0) throw new Refusal([nothingSounded()], 2);
  const trackFiles = expandPaths(settled.inputs.tracks ?? [], ['.gpx']);
  const folder = options.layers;
  if (folder !== undefined) makeFolder(folder, folder);
  const names = folder === undefined ? [] : LAKE_FILES.map((name) => join(folder, name));
  const targets = checkTargets([...names, ...(options.lines === undefined ? [] : [options.lines])], {
    force: options.force,
    inPlace: false,
    inputs: [],
    sources: [...logFiles, ...trackFiles, ...settled.sideFiles],
  });
  const { survey, leftOut } = await sayingAll(io, async () => {
    const fixes =
      trackFiles.length === 0
        ? undefined
        : await readFixes(await Promise.all(trackFiles.map(fileSource)), io.say);
    const job = await pipelineJob(settled, logFiles, fixes);
    return withThreads(job, (threads) =>
      runGuarded(job, threads, { report: io.say, progress: io.progress.show }),
    );
  });
  const grid = modelLake(survey, { ...LAKE_GRID, cell: options.cell, reach: options.reach }, io.progress);
  io.progress.clear();
  if (grid === undefined) throw new Refusal([nothingSounded()], 1);
  const lines = findLakeLines(grid);
  const areas = findLakeAreas(grid);
  io.print(summaryOf(grid, lines, areas, settled.units));
  const layers =
    folder === undefined ? [] : await lakeFiles(grid, lines, areas, options.isobaths, settled.units);
  const contents = [
    ...layers.map(({ content }) => content),
    ...(options.lines === undefined ? [] : [linesGpx(lines, settled.units)]),
  ];
  for (let k = 0; k < targets.length; k++) {
    const content = contents[k];
    await writeAtomically(
      targets[k],
      typeof content === 'string' ? new TextEncoder().encode(content) : content,
    );
  }
  return leftOut.length === 0 ? 0 : 1;
}

function modelLake(survey: Survey, options: LakeGridOptions, progress: Progress): LakeGrid | undefined {
  try {
    return makeLakeGrid(survey, options, (share) => progress.show('modeling the lake', share));
  } catch (cause) {
    if (cause instanceof RangeError) throw new Refusal([lakeTooLarge()]);
    throw cause;
  }
}

/** Lines as routes for the boat's unit, the surest and longest first. */
function linesGpx(lines: readonly LakeLine[], units: DisplayUnits): string {
  const length = (meters: number): string => `${Math.round(fromMeters(meters, units))}${units}`;
  return formatRoutesGpx(
    lines.map((line) => ({
      name: `${line.kind} ${length(line.depth)}`,
      comment: `${length(line.length)} long, ${length(line.shallowest)} to ${length(line.deepest)}${line.isInferred ? ', inferred between passes' : ''}`,
      points: line.places.map(([lat, lon]) => ({ name: '', lat, lon })),
    })),
  );
}

/** Forms named one by one; the rest is counted. */
const NAMED = 10;

function summaryOf(
  grid: LakeGrid,
  lines: readonly LakeLine[],
  areas: readonly LakeArea[],
  units: DisplayUnits,
): string {
  const long = (meters: number): string =>
    units === 'ft' ? `${fromMeters(meters, 'mi').toFixed(1)} mi` : `${(meters / 1000).toFixed(1)} km`;
  const known =
    grid.depth.reduce((count, depth) => count + (Number.isNaN(depth) ? 0 : 1), 0) * grid.cell ** 2;
  const area =
    units === 'ft'
      ? `${(known / SQUARE_METERS_PER_ACRE).toFixed(0)} acres`
      : `${(known / 10_000).toFixed(1)} ha`;
  const rows = LINE_KINDS.map((kind) => {
    const ofKind = lines.filter((line) => line.kind === kind);
    const total = (some: readonly LakeLine[]): number => some.reduce((sum, { length }) => sum + length, 0);
    const inferred = total(ofKind.filter(({ isInferred }) => isInferred));
    return `${kind.padEnd(9)}${String(ofKind.length).padStart(4)}  ${long(total(ofKind)).padStart(8)}${inferred > 0 ? `  (${long(inferred)} of it inferred between passes)` : ''}`;
  });
  const forms = areas.filter(({ kind }) => kind !== 'flat').sort((a, b) => b.relief - a.relief);
  const depth = (meters: number): string => `${Math.round(fromMeters(meters, units))}${units}`;
  const named = forms.slice(0, NAMED).map(({ kind, top, topDepth, relief, sure }) => {
    const what = kind === 'hump' || kind === 'ridge' ? 'top in' : 'down to';
    return `${kind.padEnd(9)}${what} ${depth(topDepth)}, ${depth(relief)} of relief, at ${top.map((part) => part.toFixed(5)).join(', ')} (${Math.round(100 * sure)}% sure)`;
  });
  const counts = AREA_KINDS.map((kind) => areas.filter((each) => each.kind === kind).length);
  return [
    `${area} sounded`,
    '',
    ...rows,
    '',
    AREA_KINDS.map((kind, k) => `${counts[k]} ${plural(kind, counts[k])}`).join(', '),
    ...named,
    ...(forms.length > NAMED ? [`... and ${forms.length - NAMED} smaller`] : []),
    '',
  ].join('\n');
}

const SQUARE_METERS_PER_ACRE = 4046.8564224;
const plural = (kind: string, count: number): string =>
  count === 1 ? kind : /ch$/.test(kind) ? `${kind}es` : `${kind}s`;
