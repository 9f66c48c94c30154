import {
  defineSurveyPlugin,
  type PluginContext,
  type Survey,
  type Waypoint,
} from '../shared/contract/index.ts';
import { farOff } from '../shared/geo/index.ts';
import { accountOf, correctionOf, movedByLatency, reportAccount } from '../shared/survey/index.ts';
import { tieMessages as says } from '../shared/text/index.ts';

/**
 * Compares passes over the same bottom, corrects levels and units (positions and drift only if asked), and
 * reports what disagrees.
 */
export const ties = defineSurveyPlugin({
  name: 'ties',
  summary:
    'Compares passes over the same bottom: recognizes wrong units, adjusts files and days to each other, and names other disagreements.',
  stage: 'survey',
  options: {
    on: { kind: 'switch', default: true, help: 'Compare passes with each other.' },
    correctLag: { kind: 'switch', default: false, help: 'Correct positions that are late or early.' },
    correctShift: { kind: 'switch', default: false, help: 'Correct positions of a file that are shifted.' },
    correctDrift: { kind: 'switch', default: false, help: 'Remove a steady change of level from a log.' },
    lag: {
      kind: 'seconds',
      min: -10,
      max: 10,
      help: 'Time by which positions are late, negative when early: used in place of an estimate.',
    },
    far: {
      kind: 'length',
      min: 100,
      default: 100_000,
      help: 'A log farther than this from every waypoint is reported as being from another lake.',
    },
  },
  run({ survey, waypoints }, options, context) {
    if (!options.on || survey.count === 0) return {};
    reportFar(survey, waypoints, options.far, context);
    const { lag } = options;
    if (lag !== undefined) context.report(says['lag given'](undefined, lag));
    const lags = survey.logs.map(() => lag ?? 0);
    const placed = lag === undefined ? survey : { ...survey, ...movedByLatency(survey, lags) };
    const first = accountOf(placed);
    const correctLag = options.correctLag && lag === undefined;
    const { survey: given, said } = correctionOf(first, { ...options, correctLag });
    said.forEach(context.report);
    const account = said.length === 0 ? first : accountOf(given);
    reportAccount(account, context.report);
    const { lat, lon } = given;
    const { depth, shallowest } = { ...given, ...account.columns };
    const changed = Object.entries({ lat, lon, depth, shallowest, tieError: account.tieError }).filter(
      ([name, column]) => column !== undefined && column !== survey[name as 'lat'],
    );
    return {
      columns: Object.fromEntries(changed),
      dropped: [
        { reason: 'soundings/unit-change', rows: account.refused },
        { reason: 'soundings/mixed-units', rows: account.mixed },
      ],
    };
  },
});

/** Reports logs too far from every waypoint to belong to the same lake. */
function reportFar(
  survey: Survey,
  waypoints: readonly Waypoint[],
  far: number,
  context: PluginContext,
): void {
  if (waypoints.length === 0) return;
  for (const [log, { file }] of survey.logs.entries()) {
    const from = survey.log.indexOf(log);
    if (from < 0) continue;
    const middle = (from + survey.log.lastIndexOf(log)) >> 1;
    const [lat, lon] = [survey.lat[middle], survey.lon[middle]];
    const away = farOff({ lat, lon }, waypoints, far);
    if (away === undefined) continue;
    context.report(
      says['no-overlap']({ file }, file, away.distance, away.isSwapped, survey.logs.length === 1),
    );
  }
}
