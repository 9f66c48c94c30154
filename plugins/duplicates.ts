import { defineSurveyPlugin } from '../shared/contract/index.ts';
import { findDuplicates } from '../shared/survey/index.ts';
import { soundingPluginMessages as says } from '../shared/text/index.ts';

export const duplicates = defineSurveyPlugin({
  name: 'duplicates',
  summary: 'Uses each sounding once, also if a log is given twice or logs overlap.',
  stage: 'survey',
  options: { on: { kind: 'switch', default: true, help: 'Use each sounding of overlapping logs once.' } },
  run({ survey }, options, context) {
    if (!options.on || survey.logs.length < 2) return {};
    const found = findDuplicates(survey);
    for (const { log, other, rows } of found) {
      const soundings = rows.reduce((sum, row) => sum + survey.weight[row], 0);
      const { file } = survey.logs[log];
      context.report(says['duplicate-log']({ file }, file, survey.logs[other].file, Math.round(soundings)));
    }
    const rows = Int32Array.from(found.flatMap(({ rows: some }) => some)).sort();
    return { dropped: [{ reason: 'soundings/duplicate-log', rows }] };
  },
});
