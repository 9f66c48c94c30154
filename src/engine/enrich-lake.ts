import type { Report, Waypoint } from '../../shared/contract/index.ts';
import type { ResolvedRun, StagesResult } from '../../shared/engine/index.ts';
import { type ByteSource, type Fixes, readerOptions, readFixes } from '../formats/csv/index.ts';
import { gpxMergeOptions, type LedgerEntry } from '../formats/gpx/index.ts';
import type { WaypointReaders } from '../run/index.ts';
import { reportDepthUnit, reportFarInputs } from './suspect-inputs.ts';
import { readWaypointFiles, type WaypointFiles } from './waypoint-files.ts';

/** Input of a run, and the function that runs the stages on it. */
export interface LakeInputs {
  readonly waypoints: readonly string[];
  readonly tracks: readonly string[];
  readonly repair: boolean;
  /** Content of a waypoint file by name. @throws Refusal when there is no such file. */
  readonly read: (file: string) => Uint8Array;
  /** Content of a file next to a waypoint file; undefined when there is no such file. */
  readonly bytesIfThere: WaypointReaders['bytesIfThere'];
  readonly openTrack: (file: string) => Promise<ByteSource>;
  /** Boat positions written by earlier runs. */
  readonly given: readonly LedgerEntry[];
  readonly runStages: (waypoints: readonly Waypoint[], fixes: Fixes | undefined) => Promise<StagesResult>;
}

export interface EnrichedLake {
  readonly waypointFiles: WaypointFiles;
  readonly result: StagesResult;
}

/** Reads the waypoints and runs the stages; shared by the command, the package and the browser. */
export async function enrichLake(
  run: ResolvedRun,
  inputs: LakeInputs,
  report: Report,
): Promise<EnrichedLake> {
  const { merge, join } = run.values('merge', gpxMergeOptions);
  const options = run.values('reader', readerOptions);
  const waypointFiles = await readWaypointFiles(
    inputs.waypoints,
    inputs.read,
    inputs.repair,
    { steps: run.pipeline.reader, options, bytesIfThere: inputs.bytesIfThere },
    report,
    inputs.given,
    merge ? { join } : undefined,
  );
  for (const document of waypointFiles.documents) document.diagnostics.forEach(report);
  reportFarInputs(run.pipeline, waypointFiles.waypoints, report);
  const tracks = await Promise.all(inputs.tracks.map(inputs.openTrack));
  const fixes = tracks.length === 0 ? undefined : await readFixes(tracks, report);
  const result = await inputs.runStages(waypointFiles.waypoints, fixes);
  reportDepthUnit(result.waypoints, report);
  return { waypointFiles, result };
}
