import type { EnrichedWaypoint } from '../../../shared/contract/index.ts';
import { type AdditionStyle, castComment, castsWithSuffix, type NamedCast } from './waypoint-addition.ts';

/** A route to display on the unit. */
export interface RouteLine {
  readonly name: string;
  readonly comment: string;
  readonly points: readonly { readonly name: string; readonly lat: number; readonly lon: number }[];
}

/** GPX 1.1 text with one `rte` element per route, in ASCII. */
export function formatRoutesGpx(routes: readonly RouteLine[]): string {
  return `<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="downslope" xmlns="http://www.topografix.com/GPX/1/1">
${routes.map(formatRoute).join('')}</gpx>
`;
}

function formatRoute({ name, comment, points }: RouteLine): string {
  const lines = points.map(
    (point) =>
      `    <rtept lat="${point.lat.toFixed(7)}" lon="${point.lon.toFixed(7)}"><name>${escapeText(point.name)}</name></rtept>\n`,
  );
  return `  <rte>
    <name>${escapeText(name)}</name>
    <cmt>${escapeText(comment)}</cmt>
${lines.join('')}  </rte>
`;
}

/**
 * Text for XML: markup is escaped, characters that XML 1.0 cannot hold are dropped, other non-ASCII characters become
 * references.
 */
const escapeText = (text: string): string =>
  text
    .replace(/[^\t\n\r\x20-\uD7FF\uE000-\uFFFD\u{10000}-\u{10FFFF}]/gu, '')
    .replace(/[&<>"]/g, (c) => ({ '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' })[c]!)
    .replace(/[^\x20-\x7E\t\n\r]/gu, (c) => `&#${c.codePointAt(0)};`);

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
