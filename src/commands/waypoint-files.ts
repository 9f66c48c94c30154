import { readFileSync } from 'node:fs';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import { inputMissing, inputUnreadable } from '../../shared/diagnostics/command.ts';
import { Refusal } from '../../shared/diagnostics/diagnostic.ts';
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
  const documents = files.map((file) => readGpx(readBytes(file), file, { salvage }));
  return { documents, waypoints: numberWaypoints(documents) };
}

export function numberWaypoints(documents: readonly GpxDocument[]): Waypoint[] {
  const usable = documents.flatMap(({ waypoints }) => waypoints.filter(isPlanned));
  return usable.map(({ place: _place, canEnrich: _canEnrich, partner: _partner, ...data }, index) =>
    Object.freeze({ ...data, index }),
  );
}

const isPlanned = ({ canEnrich, partner }: GpxWaypoint): boolean => canEnrich && partner === undefined;

export function readBytes(file: string): Uint8Array {
  try {
    return readFileSync(file === '-' ? 0 : file);
  } catch (cause) {
    const { code, message } = cause as NodeJS.ErrnoException;
    throw new Refusal([code === 'ENOENT' ? inputMissing(file) : inputUnreadable(file, code ?? message)]);
  }
}
