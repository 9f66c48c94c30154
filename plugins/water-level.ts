import { defineSurveyPlugin, type PluginContext, type Survey } from '../shared/contract/index.ts';
import { dateOption, waterLevelOption } from '../shared/retrieve/index.ts';
import {
  type Levels,
  levelAt,
  levelsOption,
  levelThen,
  parseReadingTime,
  readLevels,
} from '../shared/survey/index.ts';
import { soundingPluginMessages as says } from '../shared/text/index.ts';

/** Maximum time before the first or after the last reading that needs no message, days; judgment. */
const LATE_DAYS = 1;
/** Minimum change in level that is reported as doubtful, m; few lakes change so much within weeks. */
const FAR_LEVEL = 10;

/**
 * Converts soundings to the water level of the day of the plan. With readings, only dated soundings are
 * converted. Runs on the whole survey, not log by log, so that stored reduced logs stay valid when that day
 * or the readings change.
 */
export const waterLevel = defineSurveyPlugin({
  name: 'water-level',
  summary:
    'Converts soundings from the water level of their day to that of the plan: depth + (level of the plan - level then).',
  stage: 'survey',
  options: {
    on: { kind: 'switch', default: true, help: 'Apply water levels.' },
    levels: levelsOption,
    today: waterLevelOption,
    date: dateOption,
  },
  run({ survey }, options, context) {
    if (!options.on || (options.levels === undefined && options.today === undefined)) return {};
    // Without readings, depths are assumed to be measured from the datum, which is level 0.
    const levels = options.levels === undefined ? undefined : readLevels(options.levels).levels;
    if (levels !== undefined && levels.time.length === 0) return {};
    const today = levelToday(levels, options, context.report);
    if (levels === undefined && today !== 0) context.report(says['level-reference'](undefined, today));
    const depth = survey.depth.slice();
    const shallowest = survey.shallowest.slice();
    const tallies = survey.logs.map(newTally);
    let dry = 0;
    for (let i = 0; i < survey.count; i++) {
      const tally = tallies[survey.log[i]];
      const then = levels === undefined ? { level: 0, outside: 0 } : levelThen(levels, survey.time[i]);
      if (then === undefined) {
        tally.undated += survey.weight[i];
        continue;
      }
      if (then.outside > LATE_DAYS) {
        tally.outside += survey.weight[i];
        tally.farthest = Math.max(tally.farthest, then.outside);
      }
      depth[i] += today - then.level;
      if (depth[i] < 0) dry += survey.weight[i];
      depth[i] = Math.max(0, depth[i]);
      shallowest[i] = Math.max(0, shallowest[i] + today - then.level);
      tally.sum += then.level;
      tally.least = Math.min(tally.least, then.level);
      tally.most = Math.max(tally.most, then.level);
      tally.dated++;
    }
    // Without readings, `level-reference` says it for all logs.
    if (levels !== undefined)
      for (const [log, tally] of tallies.entries()) reportLog(survey, log, tally, today, context);
    if (dry > 0) context.report(says.dry(undefined, Math.round(dry)));
    return { columns: { depth, shallowest } };
  },
});

/**
 * Tally of one log: `sum`, `least` and `most` of the levels of its `dated` rows, m; numbers of soundings that
 * are `undated`, or made `outside` the time of the readings; and `farthest`, the most days outside that time.
 */
const newTally = () => ({
  ...{ sum: 0, least: Number.POSITIVE_INFINITY, most: Number.NEGATIVE_INFINITY },
  ...{ dated: 0, undated: 0, outside: 0, farthest: 0 },
});

function reportLog(
  survey: Survey,
  log: number,
  tally: ReturnType<typeof newTally>,
  today: number,
  context: PluginContext,
): void {
  const place = { file: survey.logs[log].file };
  const { least, most } = tally;
  const then = tally.sum / tally.dated;
  if (tally.dated > 0) context.report(says['water-level'](place, then, today, least, most));
  if (tally.dated > 0 && Math.abs(today - then) >= FAR_LEVEL)
    context.report(says['level-far'](place, then, today, FAR_LEVEL));
  if (tally.undated > 0) context.report(says['level-unknown'](place, Math.round(tally.undated)));
  if (tally.outside > 0)
    context.report(says['level-outside'](place, Math.round(tally.outside), tally.farthest));
}

/** Returns the water level on the day of the plan, m: as given, else from the readings. */
function levelToday(
  levels: Levels | undefined,
  options: { readonly today?: number; readonly date: string },
  report: PluginContext['report'],
): number {
  if (options.today !== undefined) return options.today;
  const found = levelAt(levels!, parseReadingTime(options.date));
  if (found.outside > LATE_DAYS) report(says['level-today'](undefined, found.outside));
  return found.level;
}
