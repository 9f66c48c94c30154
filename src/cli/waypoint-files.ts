import type { Waypoint } from '../../shared/contract/waypoint.ts';
import { readInput } from '../files/read-input.ts';
import { earlierFields } from '../formats/gpx/earlier-fields.ts';
import type { GivenOut } from '../formats/gpx/given-out.ts';
import type { GpxDocument, GpxWaypoint } from '../formats/gpx/gpx-document.ts';
import { mergeGpx } from '../formats/gpx/merge-gpx.ts';
import { readGpx } from '../formats/gpx/read-gpx.ts';

/** Waypoint files of a run, and the waypoints to plan for. */
export interface WaypointFiles {
  readonly documents: readonly GpxDocument[];
  /** Waypoints of all files in order, without boat positions of an earlier run and those that cannot be used. */
  readonly waypoints: readonly Waypoint[];
}

/**
 * Reads waypoint files; `-` is standard input.
 *
 * @param merge Put all into one, joining waypoints of one name within `join` meters; undefined keeps them apart.
 * @param given Boat positions that earlier runs gave out.
 * @throws Refusal for a file that is refused, or for files that cannot be merged.
 */
export function readWaypointFiles(
  files: readonly string[],
  salvage: boolean,
  given: readonly GivenOut[],
  merge?: { readonly join?: number },
): WaypointFiles {
  const read = files.map((file) => readGpx(readInput(file), file, { salvage, given }));
  const documents = merge === undefined || read.length < 2 ? read : [mergeDocuments(read, merge)];
  return { documents, waypoints: numberWaypoints(documents) };
}

/** One document, with what was said of each file where it stands in that file. */
function mergeDocuments(documents: readonly GpxDocument[], merge: { readonly join?: number }): GpxDocument {
  const { document, diagnostics } = mergeGpx(documents, merge);
  return { ...document, diagnostics: [...documents.flatMap((each) => each.diagnostics), ...diagnostics] };
}

function numberWaypoints(documents: readonly GpxDocument[]): Waypoint[] {
  const usable = documents.flatMap(({ waypoints }) => waypoints.filter(isPlanned));
  return usable.map(
    ({ place, canEnrich: _canEnrich, partner: _partner, isSummarized: _isSummarized, ...data }, index) => {
      const earlier = earlierFields({ place });
      return Object.freeze({ ...data, index, ...(Object.keys(earlier).length === 0 ? {} : { earlier }) });
    },
  );
}

const isPlanned = ({ canEnrich, partner }: GpxWaypoint): boolean => canEnrich && partner === undefined;
