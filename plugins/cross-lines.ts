import { defineSurveyPlugin } from '../shared/contract/plugin.ts';
import type { Survey } from '../shared/contract/soundings.ts';
import { judgeAgreement, logOffsets, wrongUnits } from '../shared/survey/agreement.ts';
import { findCrossings } from '../shared/survey/crossings.ts';
import { crossAgreement, crossOffset, crossRatio } from '../shared/text/messages/sounding-plugins.ts';

/** Compares depths where passes cross, and says which file or day disagrees, and what it looks like. */
export const crossLines = defineSurveyPlugin({
  name: 'cross-lines',
  summary:
    'Compares depths where passes cross, by day and by file, and names the likely cause of disagreement.',
  stage: 'survey',
  options: {
    on: { kind: 'switch', default: true, help: 'Compare depths where passes cross.' },
    correct: {
      kind: 'switch',
      default: false,
      help: 'Take suspected units and constant differences between logs out.',
    },
  },
  run({ survey }, options, context) {
    if (!options.on) return {};
    const crossings = findCrossings(survey);
    if (crossings.count === 0) return {};
    const agreement = judgeAgreement(survey, crossings);
    const wrong = options.correct ? wrongUnits(survey, agreement) : [];
    context.report(crossAgreement(agreement.median, agreement.spread95, agreement.crossings));
    for (const group of agreement.groups) {
      const what = group.kind === 'file' ? group.name : `the passes of ${group.name}`;
      const place = group.kind === 'file' ? { file: group.name } : undefined;
      const { suspicion } = group;
      if (suspicion?.kind === 'unit') {
        const isMended =
          group.kind === 'file' && wrong.some(({ log }) => survey.logs[log].file === group.name);
        context.report({
          ...crossRatio(what, group.ratio, suspicion.unit, group.crossings, isMended),
          place,
        });
      }
      if (suspicion?.kind === 'offset') {
        context.report({ ...crossOffset(what, group.difference, group.crossings, options.correct), place });
      }
    }
    return options.correct && survey.logs.length > 1 ? { columns: corrected(survey, wrong) } : {};
  },
});

/** Depths with units mended first, and then the constants between logs taken out. */
function corrected(
  survey: Survey,
  wrong: ReturnType<typeof wrongUnits>,
): Pick<Survey, 'depth' | 'shallowest'> {
  const suspicionOf = new Map(wrong.map(({ log, suspicion }) => [log, suspicion]));
  const mend = (depths: Float32Array) =>
    depths.map((depth, row) => {
      const found = suspicionOf.get(survey.log[row]);
      return found === undefined ? depth : (depth - found.constant) / found.factor;
    });
  const mended = { depth: mend(survey.depth), shallowest: mend(survey.shallowest) };
  const after = { ...survey, ...mended };
  const offsets = logOffsets(after, findCrossings(after));
  const move = (depths: Float32Array) => depths.map((depth, row) => depth - offsets[survey.log[row]]);
  return { depth: move(mended.depth), shallowest: move(mended.shallowest) };
}
