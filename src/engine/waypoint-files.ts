import {
  type EnrichedWaypoint,
  type OptionValues,
  type Report,
  switchOption,
  type Waypoint,
  type WriterPosition,
} from '../../shared/contract/index.ts';
import type { ResolvedRun } from '../../shared/engine/index.ts';
import { gpxMessages as says } from '../../shared/text/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import {
  type AdditionStyle,
  type commentOptions,
  type EnrichedGpx,
  earlierFields,
  enrichGpx,
  type GpxDocument,
  gpxMergeOptions,
  gpxOutputOptions,
  type LedgerEntry,
  mergeGpx,
  readGpx,
  waypointAddition,
} from '../formats/gpx/index.ts';
import { asGpx, type WaypointReaders } from '../run/index.ts';

export const waypointOptions = {
  repair: switchOption(
    'repair',
    'Read slightly broken waypoint files: a bare & or <, control characters, a wrong encoding, junk around the XML, an undeclared prefix, a truncated file. Every repair is listed with its line.',
  ),
} as const;

export interface WaypointInputs {
  readonly waypoints: readonly string[];
  /** Returns the content of a waypoint file. @throws Refusal when there is no such file. */
  readonly read: (file: string) => Uint8Array;
  /** Returns the content of a file next to a waypoint file; undefined when there is no such file. */
  readonly bytesIfThere: WaypointReaders['bytesIfThere'];
  /** Boat positions written by earlier runs. */
  readonly given: readonly LedgerEntry[];
}

export interface WaypointFiles {
  readonly documents: readonly GpxDocument[];
  /** Usable waypoints of all files, in order, without boat positions of earlier runs. */
  readonly waypoints: readonly Waypoint[];
}

/**
 * Reads waypoint files, and merges them if requested. Messages about reading name the original file and line.
 *
 * @param report Receives the messages of readers for files that are not GPX.
 * @throws Refusal for a file that `readGpx` or its reader refuses, or for files that cannot be merged.
 */
export async function readWaypointFiles(
  run: ResolvedRun,
  { waypoints, read, bytesIfThere, given }: WaypointInputs,
  report: Report,
): Promise<WaypointFiles> {
  const { repair } = run.values('core', waypointOptions);
  const { merge, join } = run.values('merge', gpxMergeOptions);
  if (join !== undefined && !merge) report(says['join-alone'](undefined));
  const readers = {
    steps: run.pipeline.reader,
    options: run.values('reader', readerOptions),
    bytesIfThere,
  };
  const found: GpxDocument[] = [];
  for (const file of waypoints)
    found.push(readGpx(await asGpx(read(file), file, readers, report), file, { repair, given }));
  if (!merge || found.length < 2) return { documents: found, waypoints: numberWaypoints(found) };
  const { document, diagnostics } = mergeGpx(found, { join, given });
  const said = [...found.flatMap((each) => each.diagnostics), ...diagnostics];
  const documents = [{ ...document, diagnostics: said }];
  return { documents, waypoints: numberWaypoints(documents) };
}

/** Returns the waypoints to plan for, numbered across all documents. */
export function numberWaypoints(documents: readonly GpxDocument[]): Waypoint[] {
  const usable = documents
    .flatMap(({ waypoints }) => waypoints)
    .filter(({ canEnrich, partner }) => canEnrich && partner === undefined);
  return usable.map(
    ({ place, canEnrich: _canEnrich, partner: _partner, isSummarized: _isSummarized, ...data }, index) => {
      const earlier = earlierFields({ place });
      return Object.freeze({ ...data, index, ...(Object.keys(earlier).length === 0 ? {} : { earlier }) });
    },
  );
}

export const additionStyle = (
  { units }: ResolvedRun,
  { bearings, angles }: OptionValues<typeof commentOptions>,
): AdditionStyle => ({ units, bearings: bearings === 'true' ? 'T' : 'M', angles });

/** Makes the enriched GPX of each document, in order. @param positions Boat positions from writer plugins. */
export function enrichedGpx(
  run: ResolvedRun,
  documents: readonly GpxDocument[],
  waypoints: readonly EnrichedWaypoint[],
  style: AdditionStyle,
  positions: ReadonlyMap<EnrichedWaypoint, readonly WriterPosition[]>,
  say: Report,
): readonly EnrichedGpx[] {
  const options = run.values('gpx', gpxOutputOptions);
  const inRoom = { ...style, room: options.maxText };
  return documents.map((document) => {
    const own = waypoints.filter(({ waypoint }) => waypoint.file === document.file);
    const additions = own.map((enriched) =>
      waypointAddition(enriched, run.pipeline.fields, inRoom, positions.get(enriched)),
    );
    const made = enrichGpx(document, additions, options);
    [...made.diagnostics, ...made.limits].forEach(say);
    return made;
  });
}
