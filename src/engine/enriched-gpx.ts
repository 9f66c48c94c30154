import type { EnrichedWaypoint, OptionValues, Report, WriterPosition } from '../../shared/contract/index.ts';
import type { ResolvedRun } from '../../shared/engine/index.ts';
import {
  type AdditionStyle,
  type commentOptions,
  type EnrichedGpx,
  enrichGpx,
  gpxOutputOptions,
  waypointAddition,
} from '../formats/gpx/index.ts';
import type { EnrichedLake } from './enrich-lake.ts';

export const additionStyle = (
  { units }: ResolvedRun,
  { bearings, angles }: OptionValues<typeof commentOptions>,
): AdditionStyle => ({ units, bearings: bearings === 'true' ? 'T' : 'M', angles });

/**
 * The enriched GPX of each document, in order.
 *
 * @param positions Positions added by writers.
 */
export function enrichedGpx(
  run: ResolvedRun,
  { waypointFiles: { documents }, result: { waypoints } }: EnrichedLake,
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
    made.diagnostics.forEach(say);
    return made;
  });
}
