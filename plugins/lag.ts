import { defineSurveyPlugin } from '../shared/contract/plugin.ts';
import { lagEstimated, lagUnknown } from '../shared/diagnostics/sounding-plugins.ts';
import { moveAlongCourse } from '../shared/soundings/course.ts';
import { estimateLag } from '../shared/soundings/lag.ts';
import { stepsOf } from '../shared/soundings/steps.ts';

/** A lag is believed from this many standard deviations on. */
const SURE = 4;

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
    let seconds = options.seconds;
    if (seconds === undefined) {
      const found = estimateLag(survey);
      if (found.seconds === undefined) {
        context.report(lagUnknown(found.meetings));
        return {};
      }
      const isSure = Math.abs(found.seconds) >= Math.max(options.least, SURE * found.sd);
      context.report(
        lagEstimated(found.seconds, found.sd, found.meetings, isSure, options.correct && isSure),
      );
      if (!options.correct || !isSure) return {};
      seconds = found.seconds;
    }
    if (seconds === 0) return {};
    const used = seconds;
    const { east, north } = stepsOf(survey);
    const speed = (row: number): number => {
      const next = row + 1 < survey.count && survey.pass[row + 1] === survey.pass[row] ? row + 1 : row;
      const dt =
        next === row ? survey.time[row] - survey.time[row - 1] : survey.time[next] - survey.time[row];
      const way = Math.hypot(east[next], north[next]);
      return dt > 0 && dt < 60 ? way / dt : 0;
    };
    return { columns: moveAlongCourse(survey, (row) => [used * speed(row), 0]) };
  },
});
