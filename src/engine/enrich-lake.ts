import type { Report, Waypoint } from '../../shared/contract/index.ts';
import type { ResolvedRun, StagesResult } from '../../shared/engine/index.ts';
import { type ByteSource, type Fixes, readFixes } from '../formats/csv/index.ts';
import { reportDepthUnit, reportFarInputs } from './suspect-inputs.ts';
import { readWaypointFiles, type WaypointFiles, type WaypointInputs } from './waypoint-files.ts';

interface LakeInputs extends WaypointInputs {
  readonly tracks: readonly string[];
  readonly openTrack: (file: string) => Promise<ByteSource>;
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
  const waypointFiles = await readWaypointFiles(run, inputs, report);
  for (const document of waypointFiles.documents) document.diagnostics.forEach(report);
  reportFarInputs(run.pipeline, waypointFiles.waypoints, report);
  const tracks = await Promise.all(inputs.tracks.map(inputs.openTrack));
  const fixes = tracks.length === 0 ? undefined : await readFixes(tracks, report);
  const result = await inputs.runStages(waypointFiles.waypoints, fixes);
  reportDepthUnit(result.waypoints, report);
  return { waypointFiles, result };
}
