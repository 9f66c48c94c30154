import { basename, extname } from 'node:path';
import { type CsvFile, type Diagnostic, keptReport } from '../../shared/contract/index.ts';
import { levelAt, parseReadingTime, readLevels } from '../../shared/survey/index.ts';
import { inputMessages as says } from '../../shared/text/index.ts';
import { type EnrichedLake, givenZones, type WaypointFiles } from '../engine/index.ts';
import type { ReportInput } from '../page/index.ts';
import type { Ledger } from '../run/index.ts';
import { VERSION } from '../version.ts';
import type { InputFiles } from './input-files.ts';
import { ledgerOf } from './lake-records.ts';
import { runWaypointFiles } from './pipeline-job.ts';
import type { ResolvedCommand } from './resolve-command.ts';
import { sinceLastTime } from './since-last-time.ts';

export interface Enrichment extends EnrichedLake {
  readonly command: ResolvedCommand;
  /** Diagnostics of the run that do not belong to a single waypoint. */
  readonly diagnostics: readonly Diagnostic[];
}

/** Reads the inputs and runs the pipeline. @param keepInternals True to keep internal fields, for figures. */
export async function runEnrichment(
  command: ResolvedCommand,
  files: InputFiles,
  keepInternals: boolean,
): Promise<Enrichment & { readonly ledger: Ledger }> {
  const { diagnostics, report } = keptReport(command.io.report);
  const ledger = ledgerOf(command, files, report);
  const lake = await runWaypointFiles(command, files, ledger.given, report, (job) => ({
    ...job,
    keepInternals,
  }));
  if (lake.waypointFiles.waypoints.length === 0)
    report(says['no-waypoints'](undefined, files.waypoints.length));
  return { ...lake, command, ledger, diagnostics };
}

export function reportInput({ command, waypointFiles, result, diagnostics }: Enrichment): ReportInput {
  const own = command.pipeline.fields.filter(([name]) => name.includes('.'));
  return {
    title: titleOf(waypointFiles),
    date: command.date,
    units: command.units,
    waypoints: result.waypoints,
    survey: result.survey,
    lake: result.lake,
    ...planLevel(command),
    diagnostics,
    changes: sinceLastTime(result.waypoints, command.units),
    pluginFields: Object.fromEntries(own),
    zones: givenZones(command.pipeline)?.zones ?? [],
    version: VERSION,
  };
}

const titleOf = ({ documents }: WaypointFiles): string =>
  [...new Set(documents.map(({ title, file }) => title ?? bareName(file)))].join(', ');

const bareName = (file: string): string => (file === '-' ? 'Waypoints' : basename(file, extname(file)));

/** Returns the water level of the depths and its source; empty when depths are used as logged. */
function planLevel({ pipeline, date }: ResolvedCommand) {
  const step = pipeline.survey.find(({ plugin }) => plugin.name === 'water-level');
  const { on, today, levels } = (step?.options ?? {}) as { on?: boolean; today?: number; levels?: CsvFile };
  if (!on) return {};
  if (today !== undefined) return { waterLevel: today, waterLevelSource: 'option' };
  if (levels === undefined) return {};
  const { level } = levelAt(readLevels(levels).levels, parseReadingTime(date));
  return { waterLevel: level, waterLevelSource: basename(levels.file) };
}
