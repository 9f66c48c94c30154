import { defineWaypointPlugin } from '../shared/contract/index.ts';
import { unitsOption } from '../shared/retrieve/index.ts';
import { describeStructure, findStructure } from '../shared/structure/index.ts';
import { bottomMessages as say } from '../shared/text/index.ts';

/** Confidence below which a structure is reported as unsure. */
const UNSURE = 0.5;

export const structure = defineWaypointPlugin({
  name: 'structure',
  summary:
    'Names the structure each waypoint belongs to, with confidence, runner-up, size, the part the waypoint is on and the reason.',
  stage: 'waypoint',
  options: { units: unitsOption },
  readsLake: true,
  requires: ['bottom'],
  provides: [
    'structure',
    'structure_confidence',
    'structure_runner_up',
    'structure_size',
    'structure_part',
    'structure_reason',
  ],
  run({ fields, lake }, options, context) {
    // If no structure is found, the bottom plugin has already reported why.
    const found = findStructure(fields.bottom, lake);
    if (found === undefined) return {};
    const { size, part, reason } = describeStructure(found, options.units);
    const isStructure = found.word !== 'slope' && found.word !== 'flat';
    if (isStructure && found.relief < found.leastRelief)
      context.report(say['low-relief'](undefined, found.relief, found.leastRelief));
    else if (found.confidence < UNSURE) context.report(say.unsure(undefined, found.confidence));
    return {
      structure: found.word,
      structure_confidence: found.confidence,
      structure_runner_up: found.runnerUp,
      structure_size: size,
      structure_part: part,
      structure_reason: reason,
    };
  },
});
