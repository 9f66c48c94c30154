import type { Report, Waypoint } from '../../shared/contract/index.ts';
import {
  earlierFields,
  type GpxDocument,
  type GpxWaypoint,
  type LedgerEntry,
  mergeGpx,
  readGpx,
} from '../formats/gpx/index.ts';
import { asGpx, type WaypointReaders } from '../run/index.ts';

export interface WaypointFiles {
  readonly documents: readonly GpxDocument[];
  /** Waypoints of all files in order, without unusable ones and without boat positions of earlier runs. */
  readonly waypoints: readonly Waypoint[];
}

/**
 * Reads waypoint files.
 *
 * @param read Content of a file by name.
 * @param readers Readers for files that are not GPX.
 * @param report Receives their messages.
 * @param merge Merge all files into one, joining waypoints of the same name within `join` meters; undefined keeps the
 * files separate.
 * @param given Boat positions written by earlier runs.
 * @throws Refusal for a file that is refused, or for files that cannot be merged.
 */
export async function readWaypointFiles(
  files: readonly string[],
  read: (file: string) => Uint8Array,
  repair: boolean,
  readers: WaypointReaders,
  report: Report,
  given: readonly LedgerEntry[],
  merge?: { readonly join?: number },
): Promise<WaypointFiles> {
  const found: GpxDocument[] = [];
  for (const file of files)
    found.push(readGpx(await asGpx(read(file), file, readers, report), file, { repair, given }));
  const documents = merge === undefined || found.length < 2 ? found : [mergeDocuments(found, merge)];
  return { documents, waypoints: numberWaypoints(documents) };
}

/** Merges the documents. Each message still names the file and line it is about. */
function mergeDocuments(documents: readonly GpxDocument[], merge: { readonly join?: number }): GpxDocument {
  const { document, diagnostics } = mergeGpx(documents, merge);
  return { ...document, diagnostics: [...documents.flatMap((each) => each.diagnostics), ...diagnostics] };
}

/** The waypoints to plan for, numbered across all documents. */
export function numberWaypoints(documents: readonly GpxDocument[]): Waypoint[] {
  const usable = documents.flatMap(({ waypoints }) => waypoints.filter(isPlanned));
  return usable.map(
    ({ place, canEnrich: _canEnrich, partner: _partner, isSummarized: _isSummarized, ...data }, index) => {
      const earlier = earlierFields({ place });
      return Object.freeze({ ...data, index, ...(Object.keys(earlier).length === 0 ? {} : { earlier }) });
    },
  );
}

const isPlanned = ({ canEnrich, partner }: GpxWaypoint): boolean => canEnrich && partner === undefined;
