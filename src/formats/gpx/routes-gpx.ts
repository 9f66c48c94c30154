import type { EnrichedWaypoint } from '../../../shared/contract/index.ts';
import { escapeXml, ownGpx } from './escape-xml.ts';
import { type AdditionStyle, castComment, castsWithSuffix, type NamedCast } from './waypoint-addition.ts';

export interface RouteLine {
  readonly name: string;
  readonly comment: string;
  readonly points: readonly { readonly name: string; readonly lat: number; readonly lon: number }[];
}

/** Formats routes as GPX 1.1 in ASCII, with one `rte` element per route. */
export const formatRoutesGpx = (routes: readonly RouteLine[]): string =>
  ownGpx(
    routes.map(({ name, comment, points }) =>
      [
        '  <rte>',
        `    <name>${inAscii(name)}</name>`,
        `    <cmt>${inAscii(comment)}</cmt>`,
        ...points.map(
          ({ name, lat, lon }) =>
            `    <rtept lat="${lat.toFixed(7)}" lon="${lon.toFixed(7)}"><name>${inAscii(name)}</name></rtept>`,
        ),
        '  </rte>',
      ].join('\n'),
    ),
  );

const inAscii = (text: string): string => escapeXml(text, 'us-ascii');

/** Formats cast lines as GPX: one route per cast, from boat to landing, named after mark and suffix. */
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
