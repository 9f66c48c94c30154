import type { Diagnostic, DisplayUnits, EarlierCast, EnrichedWaypoint } from '../../shared/contract/index.ts';
import { geodesicInverse } from '../../shared/geo/index.ts';
import { changeSince, TURNED } from '../../shared/retrieve/index.ts';
import { castChanges, castName } from '../../shared/text/index.ts';

/**
 * Finds the casts that changed since the run that made the input: casts that turned, casts whose boat
 * position moved (limits as in `changeSince`), and casts that no longer exist.
 *
 * @returns One note per change, with the likely reason and with the waypoint as its place.
 */
export const sinceLastTime = (waypoints: readonly EnrichedWaypoint[], units: DisplayUnits): Diagnostic[] =>
  waypoints.flatMap((spot) =>
    (['downslope', 'upslope'] as const).flatMap((side) => changeOf(spot, side, units) ?? []),
  );

function changeOf(
  { waypoint: { earlier, file, name, index }, fields }: EnrichedWaypoint,
  side: 'downslope' | 'upslope',
  units: DisplayUnits,
): Diagnostic | undefined {
  const before = fields.earlier?.[side];
  if (earlier === undefined || before === undefined) return undefined;
  const plan = fields[side];
  const place = { file, waypoint: name || `#${index + 1}` };
  const times = [earlier, fields] as const;
  if (plan === undefined) {
    const wasCalled = earlier[`${side}_kind`] ?? (side === 'downslope' ? 'deep-side' : 'shallow-side');
    return castChanges['changed gone'](place, wasCalled, times, units);
  }
  const change = changeSince(before, plan);
  if (change === undefined) return undefined;
  const from = { bearing: bearingBetween(before), moved: change.distance };
  const cast = castName(plan.kind, fields.downslope?.kind);
  return castChanges.changed(place, cast, from, plan.bearing, change.turn > TURNED, times, units);
}

const bearingBetween = ({ boat, landing }: EarlierCast): number =>
  geodesicInverse(boat.lat, boat.lon, landing.lat, landing.lon).bearing;

const MAX_LISTED = 20;

export function formatChanges(changes: readonly Diagnostic[]): string {
  const lines = changes.slice(0, MAX_LISTED).map(({ place, message }) => `   ${place?.waypoint}: ${message}`);
  const rest = changes.length - lines.length;
  return [
    'Since last time:',
    ...lines,
    ...(rest > 0 ? [`   ${rest} more; the page of --report lists them all.`] : []),
    '',
  ].join('\n');
}
