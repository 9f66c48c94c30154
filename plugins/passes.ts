import { defineLogPlugin } from '../shared/contract/index.ts';
import { splitPasses } from '../shared/survey/index.ts';

export const passes = defineLogPlugin({
  name: 'passes',
  summary: 'Splits each log into passes at gaps, pauses and reversals of the course.',
  stage: 'log',
  options: {
    gap: {
      kind: 'length',
      min: 1,
      max: 1000,
      default: 20,
      help: 'Longest step between two soundings of a pass.',
    },
    pause: {
      kind: 'seconds',
      min: 1,
      max: 3600,
      default: 30,
      help: 'Longest time between two soundings of a pass.',
    },
    turn: {
      kind: 'angle',
      min: 45,
      max: 180,
      default: 100,
      help: 'A sharper turn than this within about 30 m begins a new pass.',
    },
  },
  run({ log }, options) {
    return { columns: { pass: splitPasses(log, options) } };
  },
});
