import { defineSurveyPlugin } from '../shared/contract/plugin.ts';
import { distanceBetween } from '../shared/survey/steps.ts';
import { farFromWaypoints } from '../shared/text/messages/sounding-plugins.ts';

/** Says when soundings and waypoints cannot belong together. */
export const farLogs = defineSurveyPlugin({
  name: 'far-logs',
  summary: 'Warns of logs that are far from every waypoint: another lake, or latitude and longitude swapped.',
  stage: 'survey',
  options: {
    on: { kind: 'switch', default: true, help: 'Compare places of logs and waypoints.' },
    far: {
      kind: 'length',
      min: 100,
      default: 100_000,
      help: 'Distance from which a log counts as elsewhere.',
    },
  },
  run({ survey, waypoints }, options, context) {
    if (!options.on || waypoints.length === 0) return {};
    for (const [log, { file }] of survey.logs.entries()) {
      const middle = middleOf(survey, log);
      if (middle === undefined) continue;
      const nearest = Math.min(
        ...waypoints.map((waypoint) => distanceBetween(waypoint.lat, waypoint.lon, ...middle)),
      );
      if (nearest > options.far) context.report({ ...farFromWaypoints(file, nearest), place: { file } });
    }
    return {};
  },
});

/** Place of the middle row of a log; undefined when it has none. */
function middleOf(
  survey: { readonly log: Int32Array; readonly lat: Float64Array; readonly lon: Float64Array },
  log: number,
): [lat: number, lon: number] | undefined {
  const from = survey.log.indexOf(log);
  if (from < 0) return undefined;
  const middle = (from + survey.log.lastIndexOf(log)) >> 1;
  return [survey.lat[middle], survey.lon[middle]];
}
