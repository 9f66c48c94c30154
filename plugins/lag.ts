import { defineSurveyPlugin, type PluginContext } from '../shared/contract/plugin.ts';
import type { Survey } from '../shared/contract/soundings.ts';
import { moveAlongCourse } from '../shared/survey/course.ts';
import { estimateLag, type LagEstimate } from '../shared/survey/lag.ts';
import { stepsOf } from '../shared/survey/steps.ts';
import { lagEstimated, lagUnknown } from '../shared/text/messages/sounding-plugins.ts';

/** A lag is believed from this many standard deviations on. */
const SURE = 4;
/** A log's own lag counts from this standard deviation down, s: half a meter at idle. */
const KNOWN = 0.25;

/** Finds how far positions lag depths, and moves them if asked. */
export const lag = defineSurveyPlugin({
  name: 'lag',
  summary:
    'Estimates the lag of positions behind depths from passes run in different directions; corrects it if asked.',
  stage: 'survey',
  options: {
    on: { kind: 'switch', default: true, help: 'Estimate the position lag.' },
    correct: { kind: 'switch', default: false, help: 'Move positions by the lag.' },
    seconds: {
      kind: 'seconds',
      min: -10,
      max: 10,
      help: 'Lag to use instead of the estimated one (positions behind depths: positive).',
    },
    least: { kind: 'seconds', min: 0, max: 10, default: 0.2, help: 'Lags shorter than this are left alone.' },
  },
  run({ survey }, options, context) {
    if (!options.on) return {};
    const lags =
      options.seconds === undefined
        ? found(survey, options, context)
        : survey.logs.map(() => options.seconds!);
    if (lags.every((seconds) => seconds === 0)) return {};
    const { east, north } = stepsOf(survey);
    const speed = (row: number): number => {
      const next = row + 1 < survey.count && survey.pass[row + 1] === survey.pass[row] ? row + 1 : row;
      const dt =
        next === row ? survey.time[row] - survey.time[row - 1] : survey.time[next] - survey.time[row];
      const way = Math.hypot(east[next], north[next]);
      return dt > 0 && dt < 60 ? way / dt : 0;
    };
    return { columns: moveAlongCourse(survey, (row) => [lags[survey.log[row]] * speed(row), 0]) };
  },
});

/** Lag to correct for each log, s: its own where it is known well, else that of all; 0 for none. */
function found(
  survey: Survey,
  options: { readonly correct: boolean; readonly least: number },
  context: PluginContext,
): number[] {
  const { all, logs, meetings } = estimateLag(survey);
  const none = survey.logs.map(() => 0);
  if (all === undefined) {
    context.report(lagUnknown(meetings));
    return none;
  }
  const isSure = ({ seconds, sd }: LagEstimate) => Math.abs(seconds) >= Math.max(options.least, SURE * sd);
  const say = (estimate: LagEstimate, file?: string) =>
    context.report({
      ...lagEstimated(
        estimate.seconds,
        estimate.sd,
        estimate.meetings,
        isSure(estimate),
        options.correct && isSure(estimate),
      ),
      ...(file === undefined ? {} : { place: { file } }),
    });
  say(all);
  return survey.logs.map(({ file }, log) => {
    const own = logs[log];
    const isOwn = own !== undefined && own.sd <= KNOWN;
    const used = isOwn ? own : all;
    const isPlain = isOwn && Math.abs(own.seconds - all.seconds) > Math.max(options.least, SURE * own.sd);
    if (isPlain) say(own, file);
    return options.correct && isSure(used) ? used.seconds : 0;
  });
}
