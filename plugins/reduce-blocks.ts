import { defineLogPlugin } from '../shared/contract/index.ts';
import { reduceToBlocks } from '../shared/survey/index.ts';

/** Makes every stretch of a pass count the same, however fast the sonar recorded or the boat ran. */
export const reduceBlocks = defineLogPlugin({
  name: 'reduce-blocks',
  summary:
    'Combines neighboring soundings of a pass into blocks: mean depth and place, shallowest depth, count.',
  stage: 'log',
  options: {
    on: { kind: 'switch', default: true, help: 'Combine soundings into blocks.' },
    length: { kind: 'length', min: 0.1, max: 100, default: 2.5, help: 'Length of a block along the pass.' },
  },
  run({ log }, options) {
    return options.on ? { reduced: reduceToBlocks(log, options.length) } : {};
  },
});
