import {
  type EnrichedWaypoint,
  type JsonFile,
  METERS_PER,
  type Report,
  type Waypoint,
} from '../../shared/contract/index.ts';
import type { Pipeline } from '../../shared/engine/index.ts';
import { farOff, groupsApart, readZones, type Zone, zonesFarOff } from '../../shared/geo/index.ts';
import {
  gpxMessages,
  soundingPluginMessages as says,
  zoneMessages as saysOfZones,
} from '../../shared/text/index.ts';

const NAMED = 5;

export function reportFarInputs(pipeline: Pipeline, waypoints: readonly Waypoint[], report: Report): void {
  const [most = [], ...others] = groupsApart(waypoints);
  const rest = most.map((i) => waypoints[i]);
  for (const group of others) {
    const marks = group.map((i) => waypoints[i]);
    const far = farOff(marks[0], rest);
    if (far === undefined) continue;
    const { distance, isSwapped } = far;
    const place = { file: marks[0].file, line: marks[0].line };
    const names = marks.slice(0, NAMED).map(({ name }) => name);
    report(gpxMessages['marks-apart'](place, names, marks.length, rest.length, distance, isSwapped));
  }
  const given = givenZones(pipeline);
  if (given?.zones.length === 0) report(saysOfZones['no-zones']({ file: given.file }));
  const far = given && zonesFarOff(given.zones, waypoints);
  if (far !== undefined)
    report(
      saysOfZones['no-overlap']({ file: given!.file }, given!.zones.length, far.distance, far.isSwapped),
    );
}

/** Returns the zones for casts or plans, from the first plugin that was given zones. */
export function givenZones(
  pipeline: Pipeline,
): { readonly file: string; readonly zones: readonly Zone[] } | undefined {
  for (const { options } of [...pipeline.waypoint, ...pipeline.plan]) {
    const { zones } = options as { zones?: JsonFile };
    if (zones !== undefined) return { file: zones.file, zones: readZones(zones.value, zones.file).zones };
  }
  return undefined;
}

/** Ratios of log depth to mark depth for logs read in a wrong unit, each with the true unit. */
const FACTORS = [
  [1 / METERS_PER.ft, 'ft'],
  [METERS_PER.ft, 'm'],
  [METERS_PER.ft / METERS_PER.fm, 'fm'],
] as const;
/** Maximum factor between a measured ratio and one of `FACTORS`, since depths differ on a slope; judgment. */
const SPREAD = 1.25;
/** Minimum number of marks that must show a ratio before it is reported; judgment. */
const LEAST = 3;
/** Minimum share of the marks with both depths that must show the ratio; judgment. */
const MIN_SHARE = 0.7;

/** Reports when the depths of enough marks show that the logs were read in the wrong unit. */
export function reportDepthUnit(waypoints: readonly EnrichedWaypoint[], report: Report): void {
  const pairs = waypoints.flatMap(({ waypoint: { name }, fields: { mark_depth: mark, pass_depth: log } }) =>
    mark === undefined || log === undefined || mark <= 0 || log <= 0 ? [] : [{ name, mark, log }],
  );
  for (const [factor, unit] of FACTORS) {
    const agreeing = pairs.filter(({ mark, log }) => {
      const off = log / mark / factor;
      return off < SPREAD && off > 1 / SPREAD;
    });
    if (agreeing.length < LEAST || agreeing.length < MIN_SHARE * pairs.length) continue;
    const counts = { agreeing: agreeing.length, marks: pairs.length };
    report(says['depth-unit-doubt'](undefined, counts, agreeing[0], factor, unit));
  }
}
