export { earlierFields } from './earlier-fields.ts';
export { asBuffer } from './encoding.ts';
export { enrichGpx } from './enrich-gpx.ts';
export { escapeXml } from './escape-xml.ts';
export type { GivenOut } from './given-out.ts';
export type { EnrichedGpx, GpxDocument, GpxWaypoint, Span } from './gpx-document.ts';
export { mergeGpx } from './merge-gpx.ts';
export type { LatLon } from './near.ts';
export { commentOptions, gpxMergeOptions, gpxOutputOptions } from './output-options.ts';
export { PLAN_PLACE, STOP_TYPE } from './plan-stop.ts';
export {
  formatProposedGpx,
  isProposedEntry,
  type ProposedWaypoint,
  proposedAmong,
  proposedEntries,
} from './proposed-gpx.ts';
export { readGpx } from './read-gpx.ts';
export { formatRoutesGpx } from './routes-gpx.ts';
export { readTrackPoints, type TrackPointBatch } from './track-points.ts';
export { type Habit, unitHabits } from './unit-habits.ts';
export type { LookAgain } from './verify-output.ts';
export { type AdditionStyle, waypointAddition } from './waypoint-addition.ts';
