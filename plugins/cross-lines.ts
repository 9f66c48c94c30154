import { defineSurveyPlugin } from '../shared/contract/plugin.ts';
import { crossAgreement, crossOffset, crossRatio } from '../shared/diagnostics/sounding-plugins.ts';
import { judgeAgreement, logOffsets } from '../shared/soundings/agreement.ts';
import { findCrossings } from '../shared/soundings/crossings.ts';

/** Compares depths where passes cross, and says which file or day disagrees, and what it looks like. */
export const crossLines = defineSurveyPlugin({
  name: 'cross-lines',
  summary:
    'Compares depths where passes cross, by day and by file, and names the likely cause of disagreement.',
  stage: 'survey',
  options: {
    on: { kind: 'switch', default: true, help: 'Compare depths where passes cross.' },
    correct: { kind: 'switch', default: false, help: 'Take the constant differences between logs out.' },
  },
  run({ survey }, options, context) {
    if (!options.on) return {};
    const crossings = findCrossings(survey);
    if (crossings.count === 0) return {};
    const agreement = judgeAgreement(survey, crossings);
    context.report(crossAgreement(agreement.median, agreement.spread95, agreement.crossings));
    for (const group of agreement.groups) {
      const what = group.kind === 'file' ? group.name : `the passes of ${group.name}`;
      const place = group.kind === 'file' ? { file: group.name } : undefined;
      const { suspicion } = group;
      if (suspicion?.kind === 'unit')
        context.report({ ...crossRatio(what, group.ratio, suspicion.unit, group.crossings), place });
      if (suspicion?.kind === 'offset') {
        context.report({ ...crossOffset(what, group.difference, group.crossings, options.correct), place });
      }
    }
    if (!options.correct || survey.logs.length < 2) return {};
    const offsets = logOffsets(survey, crossings);
    const move = (depths: Float32Array) => depths.map((depth, row) => depth - offsets[survey.log[row]]);
    return { columns: { depth: move(survey.depth), shallowest: move(survey.shallowest) } };
  },
});
