import { dirname, join } from 'node:path';
import type { FinishedRun, OptionValues, Report } from '../../shared/contract/index.ts';
import {
  folderOf,
  type Pipeline,
  runWriters,
  writerPositions,
  writersAsked,
} from '../../shared/engine/index.ts';
import { lakeBottom } from '../../shared/lake/index.ts';
import { additionStyle, enrichedGpx } from '../engine/index.ts';
import { checkTargets, makeFolder, type TargetOptions, writeTogether } from '../files/index.ts';
import type { LedgerEntry } from '../formats/gpx/index.ts';
import { formatTable } from '../formats/table/index.ts';
import { OVERVIEW } from '../page/index.ts';
import type { Generation } from '../run/index.ts';
import type { CommandIo } from './command-io.ts';
import type { outputOptions } from './core-options.ts';
import { type Enrichment, reportInput } from './enrichment.ts';
import { withSuffix } from './output-paths.ts';

export type OutputValues = OptionValues<typeof outputOptions>;

/** An output held in memory, since nothing is written until all outputs are complete. */
export interface Output {
  readonly path: string;
  readonly content: string | Uint8Array;
}

/** Makes output folders, and refuses outputs that cannot be written before any work is done. */
export function checkOutputs(
  gpxPaths: readonly string[],
  values: OutputValues,
  targets: TargetOptions,
  pipeline: Pipeline,
): void {
  const { table, geojson, report, boat, castLines, svg } = values;
  const paths = [...gpxPaths, table, geojson, report, boat, castLines].filter((path) => path !== undefined);
  for (const path of paths) if (path !== '-') makeFolder(dirname(path), path, targets);
  checkTargets(paths, targets);
  for (const { plugin, options } of writersAsked(pipeline)) {
    const folder = folderOf(options)!;
    makeFolder(folder, folder, targets);
    checkTargets(
      (plugin.files ?? []).map((name) => join(folder, name)),
      targets,
    );
  }
  if (svg === undefined) return;
  makeFolder(svg, svg, targets);
  // This figure is always written; the others depend on the marks.
  checkTargets([join(svg, OVERVIEW)], targets);
}

export async function sideOutputs(
  values: OutputValues,
  found: Enrichment,
  { report, progress }: Pick<CommandIo, 'report' | 'progress'>,
): Promise<Output[]> {
  const { pipeline, units } = found.resolved;
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
    diagnostics.forEach(report);
    add(values.geojson, text);
  }
  if (values.castLines !== undefined) {
    const { formatCastLines } = await import('../formats/gpx/routes-gpx.ts');
    add(values.castLines, formatCastLines(waypoints, additionStyle(found.resolved, values)));
  }
  if (values.report !== undefined) {
    const { renderReport } = await import('../page/report-page.ts');
    add(values.report, renderReport(input));
  }
  if (values.boat !== undefined) {
    const { spotsBoatPage } = await import('./boat-output.ts');
    const onShare = (share: number): void => progress.show('Modeling the lake', share);
    add(values.boat, spotsBoatPage(input, found, onShare));
  }
  if (values.svg !== undefined) {
    const { figureFiles } = await import('../page/figures.ts');
    for (const { name, svg } of figureFiles(input)) add(join(values.svg, name), svg);
  }
  return made;
}

/** The enriched GPX of each input, with the boat positions it contains. */
export async function enrichedOutputs(
  enrichment: Enrichment,
  paths: readonly string[],
  values: OutputValues,
  report: Report,
): Promise<{ readonly outputs: Output[]; readonly given: LedgerEntry[] }> {
  const { resolved } = enrichment;
  const positions = await writerPositions(resolved.pipeline, () => finishedRun(enrichment), report);
  const style = additionStyle(resolved, values);
  const made = enrichedGpx(resolved, enrichment, style, positions, report);
  return {
    outputs: made.flatMap(({ parts }, position) =>
      parts.map(({ suffix, bytes }) => ({ path: withSuffix(paths[position], suffix), content: bytes })),
    ),
    given: made.flatMap(({ given }) => given),
  };
}

function finishedRun({ resolved: { pipeline, units }, result }: Enrichment): FinishedRun {
  const { waypoints, survey, lake: model } = result;
  const lake = model && { ...lakeBottom(model.grid, model.lines, model.areas), sd: model.grid.sd };
  return { waypoints, survey, fields: pipeline.fields, units, lake };
}

/** Files of the requested writers; folders below theirs are made. */
export async function writerOutputs(
  enrichment: Enrichment,
  targets: TargetOptions,
  report: Report,
): Promise<Output[]> {
  const files = await runWriters(enrichment.resolved.pipeline, finishedRun(enrichment), report);
  return files.map(({ folder, name, bytes }) => {
    const path = join(folder, name);
    makeFolder(dirname(path), path, targets);
    return { path, content: bytes };
  });
}

/**
 * Writes all outputs of a run. Every output is complete before the first is renamed, and no other run on the lake
 * writes its own meanwhile.
 *
 * @param generation The lake's turns and the record of the outputs, which keep those of two runs apart.
 * @param first Runs when all outputs are complete, before the first is renamed. A run stopped after that must not leave
 * boat positions that the ledger does not know.
 */
export function writeOutputs(
  made: readonly Output[],
  targets: TargetOptions,
  generation: Generation,
  first?: () => Promise<void>,
): Promise<void> {
  return generation.withLock(async () => {
    // Parts of a split file are known only now, and another run may have written since, so all are checked before the
    // first is written.
    const paths = made.map(({ path }) => path);
    const writes = checkTargets(paths, targets).map((target, i) => {
      const { content } = made[i];
      return { target, bytes: typeof content === 'string' ? new TextEncoder().encode(content) : content };
    });
    await writeTogether(writes, async () => {
      await first?.();
      await generation.begin(writes);
    });
    await generation.end();
  });
}
