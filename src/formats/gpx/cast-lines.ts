import type { EnrichedWaypoint } from '../../../shared/contract/index.ts';
import { formatRoutesGpx, type RouteLine } from './routes-gpx.ts';
import { type AdditionStyle, castComment, castsWithSuffix, type NamedCast } from './waypoint-addition.ts';

/**
 * GPX of the cast lines: one route per boat position with two points, boat and landing, named after the boat position.
 */
export function formatCastLines(waypoints: readonly EnrichedWaypoint[], style: AdditionStyle): string {
  const routes = waypoints.flatMap((enriched) =>
    castsWithSuffix(enriched.fields, style.angles).map((cast) => castLine(enriched, cast, style)),
  );
  return formatRoutesGpx(routes);
}

function castLine(
  { waypoint, fields }: EnrichedWaypoint,
  { suffix, plan, where }: NamedCast,
  style: AdditionStyle,
): RouteLine {
  const name = `${waypoint.name === '' ? `#${waypoint.index + 1}` : waypoint.name} ${suffix}`;
  return {
    name,
    comment: castComment(plan, where, fields.declination, style),
    points: [
      { name, lat: plan.boat.lat, lon: plan.boat.lon },
      { name: `${name} landing`, lat: plan.landing.lat, lon: plan.landing.lon },
    ],
  };
}
