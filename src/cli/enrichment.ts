import { basename, extname } from 'node:path';
import type { CsvFile, Diagnostic } from '../../shared/contract/index.ts';
import { levelAt, parseReadingTime, readLevels } from '../../shared/survey/index.ts';
import { inputMessages as says } from '../../shared/text/index.ts';
import { type EnrichedLake, enrichLake, givenZones, type WaypointFiles } from '../engine/index.ts';
import type { ReportInput } from '../page/index.ts';
import { type Ledger, runGuarded } from '../run/index.ts';
import { VERSION } from '../version.ts';
import type { CommandIo } from './command-io.ts';
import { filesOnDisk, type InputFiles } from './input-files.ts';
import { ledgerOf } from './lake-records.ts';
import { pipelineJob } from './pipeline-job.ts';
import type { ResolvedCommand } from './resolve-command.ts';
import { sinceLastTime } from './since-last-time.ts';

export interface Enrichment extends EnrichedLake {
  readonly resolved: ResolvedCommand;
  readonly ledger: Ledger;
  /** Diagnostics of the run that do not belong to a single waypoint. */
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Reads the inputs and runs the pipeline.
 *
 * @param forPictures Whether to keep data that only pictures need.
 */
export async function runEnrichment(
  resolved: ResolvedCommand,
  files: InputFiles,
  io: CommandIo,
  forPictures: boolean,
): Promise<Enrichment> {
  const diagnostics: Diagnostic[] = [];
  const report = (diagnostic: Diagnostic): void => {
    diagnostics.push(diagnostic);
    io.report(diagnostic);
  };
  const ledger = ledgerOf(resolved, files, report);
  const hooks = { report, progress: io.progress.show };
  const lake = await enrichLake(
    resolved,
    {
      ...filesOnDisk(resolved, files),
      given: ledger.given,
      async runStages(waypoints, fixes) {
        const job = pipelineJob(resolved, files.logs, fixes);
        return runGuarded({ ...job, waypoints, keepInternals: forPictures }, hooks);
      },
    },
    report,
  );
  if (lake.waypointFiles.waypoints.length === 0)
    report(says['no-waypoints'](undefined, files.waypoints.length));
  return { ...lake, resolved, ledger, diagnostics };
}

export function reportInput({ resolved, waypointFiles, result, diagnostics }: Enrichment): ReportInput {
  const own = resolved.pipeline.fields.filter(([name]) => name.includes('.'));
  const level = planLevel(resolved);
  return {
    title: titleOf(waypointFiles),
    date: resolved.date,
    units: resolved.units,
    waypoints: result.waypoints,
    survey: result.survey,
    lake: result.lake,
    waterLevel: level?.level,
    waterLevelSource: level?.source,
    diagnostics,
    changes: sinceLastTime(result.waypoints, resolved.units),
    pluginFields: Object.fromEntries(own),
    zones: givenZones(resolved.pipeline)?.zones ?? [],
    version: VERSION,
  };
}

const titleOf = ({ documents }: WaypointFiles): string =>
  [...new Set(documents.map(({ title, file }) => title ?? bareName(file)))].join(', ');

const bareName = (file: string): string => (file === '-' ? 'Waypoints' : basename(file, extname(file)));

/** Water level to which the soundings were reduced, and its source. */
function planLevel({ pipeline, date }: ResolvedCommand): { level: number; source: string } | undefined {
  const step = pipeline.survey.find(({ plugin }) => plugin.name === 'water-level');
  const { on, today, levels } = (step?.options ?? {}) as { on?: boolean; today?: number; levels?: CsvFile };
  if (!on) return undefined;
  if (today !== undefined) return { level: today, source: 'option' };
  if (levels === undefined) return undefined;
  return {
    level: levelAt(readLevels(levels).levels, parseReadingTime(date)).level,
    source: basename(levels.file),
  };
}
