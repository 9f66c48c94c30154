import { dirname, join } from 'node:path';
import type { FinishedRun, OptionValues } from '../../shared/contract/index.ts';
import {
  folderOf,
  type Pipeline,
  runWriters,
  writerPositions,
  writersAsked,
} from '../../shared/engine/index.ts';
import { lakeBottom } from '../../shared/lake/index.ts';
import { additionStyle, enrichedGpx } from '../engine/index.ts';
import { checkTargets, makeFolder, type TargetOptions } from '../files/index.ts';
import type { LedgerEntry } from '../formats/gpx/index.ts';
import { formatTable } from '../formats/table/index.ts';
import { OVERVIEW } from '../page/index.ts';
import type { outputOptions } from './command-options.ts';
import { type Enrichment, reportInput } from './enrichment.ts';
import type { Output } from './lake-records.ts';
import { withSuffix } from './output-paths.ts';

export type OutputValues = OptionValues<typeof outputOptions>;

/** Makes output folders, and refuses outputs that cannot be written. Called before the pipeline runs. */
export function checkOutputs(
  gpxPaths: readonly string[],
  { table, geojson, report, boat, castLines, svg }: Partial<OutputValues>,
  targets: TargetOptions,
  pipeline: Pipeline,
): void {
  const paths = [...gpxPaths, table, geojson, report, boat, castLines].filter((path) => path !== undefined);
  for (const path of paths) if (path !== '-') makeFolder(dirname(path), path, targets);
  checkTargets(paths, targets);
  const folders = writersAsked(pipeline).map(
    ({ plugin, options }) => [folderOf(options)!, plugin.files ?? []] as const,
  );
  // The overview is always written. The names of the other figures depend on the marks.
  for (const [folder, names] of svg === undefined ? folders : [...folders, [svg, [OVERVIEW]] as const]) {
    makeFolder(folder, folder, targets);
    checkTargets(
      names.map((name) => join(folder, name)),
      targets,
    );
  }
}

export async function sideOutputs(
  values: Pick<
    OutputValues,
    'table' | 'cellGuard' | 'geojson' | 'castLines' | 'bearings' | 'angles' | 'report' | 'boat' | 'svg'
  >,
  found: Enrichment,
): Promise<Output[]> {
  const { pipeline, units, io } = found.command;
  const { waypoints } = found.result;
  const input = reportInput(found);
  const made: Output[] = [];
  const add = (path: string, content: Output['content']): void => void made.push({ path, content });
  if (values.table !== undefined)
    add(values.table, formatTable(waypoints, pipeline.fields, units, values.cellGuard));
  if (values.geojson !== undefined) {
    const { lakeGeoJson } = await import('../formats/geojson/geojson.ts');
    const { lakeSpot } = await import('../formats/geojson/lake-spots.ts');
    const spots = waypoints.map((enriched) => lakeSpot(enriched, pipeline.fields, units));
    const { text, diagnostics } = lakeGeoJson(found.waypointFiles.documents, spots);
    diagnostics.forEach(io.report);
    add(values.geojson, text);
  }
  if (values.castLines !== undefined) {
    const { formatCastLines } = await import('../formats/gpx/routes-gpx.ts');
    add(values.castLines, formatCastLines(waypoints, additionStyle(found.command, values)));
  }
  if (values.report !== undefined) {
    const { renderReport } = await import('../page/report-page.ts');
    add(values.report, renderReport(input));
  }
  if (values.boat !== undefined) {
    const { spotsBoatPage } = await import('./boat-output.ts');
    add(values.boat, spotsBoatPage(input, found));
  }
  if (values.svg !== undefined) {
    const { figureFiles } = await import('../page/figures.ts');
    for (const { name, svg } of figureFiles(input)) add(join(values.svg, name), svg);
  }
  return made;
}

/** Makes the enriched GPX of each input. `given` holds the boat positions written into the enriched GPX. */
export async function enrichedOutputs(
  enrichment: Enrichment,
  paths: readonly string[],
  values: Pick<OutputValues, 'bearings' | 'angles'>,
): Promise<{ readonly outputs: Output[]; readonly given: LedgerEntry[] }> {
  const { command, waypointFiles, result } = enrichment;
  const { report } = command.io;
  const positions = await writerPositions(command.pipeline, () => finishedRun(enrichment), report);
  const style = additionStyle(command, values);
  const made = enrichedGpx(command, waypointFiles.documents, result.waypoints, style, positions, report);
  return {
    outputs: made.flatMap(({ parts }, position) =>
      parts.map(({ suffix, bytes }) => ({ path: withSuffix(paths[position], suffix), content: bytes })),
    ),
    given: made.flatMap(({ given }) => given),
  };
}

function finishedRun({ command: { pipeline, units }, result }: Enrichment): FinishedRun {
  const { waypoints, survey, lake: model } = result;
  const lake = model && { ...lakeBottom(model.grid, model.lines, model.areas), sd: model.grid.sd };
  return { waypoints, survey, fields: pipeline.fields, units, lake };
}

export async function writerOutputs(enrichment: Enrichment, targets: TargetOptions): Promise<Output[]> {
  const { pipeline, io } = enrichment.command;
  const files = await runWriters(pipeline, finishedRun(enrichment), io.report);
  return files.map(({ folder, name, bytes }) => {
    const path = join(folder, name);
    makeFolder(dirname(path), path, targets);
    return { path, content: bytes };
  });
}
