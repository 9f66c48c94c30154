import type { Waypoint } from '../../shared/contract/waypoint.ts';
import { readInput } from '../files/read-input.ts';
import type { GpxDocument, GpxWaypoint } from '../gpx/gpx-document.ts';
import { readGpx } from '../gpx/read-gpx.ts';

/** Waypoint files of a run, and the waypoints to plan for. */
export interface WaypointFiles {
  readonly documents: readonly GpxDocument[];
  /** Waypoints of all files in order, without boat positions of an earlier run and those that cannot be used. */
  readonly waypoints: readonly Waypoint[];
}

/** Reads waypoint files; `-` is standard input. @throws Refusal for a file that is refused. */
export function readWaypointFiles(files: readonly string[], salvage: boolean): WaypointFiles {
  const documents = files.map((file) => readGpx(readInput(file), file, { salvage }));
  return { documents, waypoints: numberWaypoints(documents) };
}

export function numberWaypoints(documents: readonly GpxDocument[]): Waypoint[] {
  const usable = documents.flatMap(({ waypoints }) => waypoints.filter(isPlanned));
  return usable.map(({ place: _place, canEnrich: _canEnrich, partner: _partner, ...data }, index) =>
    Object.freeze({ ...data, index }),
  );
}

const isPlanned = ({ canEnrich, partner }: GpxWaypoint): boolean => canEnrich && partner === undefined;
