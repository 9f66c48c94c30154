import { defineLogPlugin } from '../shared/contract/index.ts';
import { SOUND_SPEED_EQUATIONS, soundSpeed } from '../shared/survey/index.ts';
import { soundingPluginMessages as says } from '../shared/text/index.ts';

/** Minimum believable temperature of fresh water under a boat, deg C. */
const COLDEST = -1;
/** Maximum believable temperature of fresh water under a boat, deg C. */
const WARMEST = 40;

export const soundSpeedPlugin = defineLogPlugin({
  name: 'sound-speed',
  summary: 'Scales depths by the speed of sound in fresh water at the logged or given temperature.',
  stage: 'log',
  options: {
    on: { kind: 'switch', default: false, help: 'Correct depths for the speed of sound.' },
    assumed: {
      kind: 'speed',
      min: 1300,
      max: 1700,
      default: 1463.04,
      help: 'Speed of sound that the sonar assumes, such as 1500m/s; 1463.04m/s is 4800 feet per second.',
    },
    temperature: {
      kind: 'number',
      min: 0,
      max: 40,
      help: 'Mean temperature of the water down to the bottom, deg C; without it the logged temperature is used.',
    },
    equation: {
      kind: 'choice',
      choices: SOUND_SPEED_EQUATIONS,
      default: 'marczak',
      help: 'Published equation to use.',
    },
  },
  run({ log }, options, context) {
    if (!options.on) return {};
    const { equation } = options;
    if (options.temperature !== undefined) {
      const speed = soundSpeed(options.temperature, equation);
      context.report(says['sound-speed'](undefined, speed, options.assumed, options.temperature));
      const factor = speed / options.assumed;
      const scale = (depth: number) => depth * factor;
      return { columns: { depth: log.depth.map(scale), shallowest: log.shallowest.map(scale) } };
    }
    const { temperature } = log;
    const depth = log.depth.slice();
    const shallowest = log.shallowest.slice();
    let believed = Number.NaN;
    let sum = 0;
    let used = 0;
    let outside = 0;
    for (let i = 0; i < log.count; i++) {
      const t = temperature?.[i] ?? Number.NaN;
      if (t >= COLDEST && t <= WARMEST) believed = t;
      else if (!Number.isNaN(t)) outside++;
      if (Number.isNaN(believed)) continue;
      const speed = soundSpeed(believed, equation);
      depth[i] *= speed / options.assumed;
      shallowest[i] *= speed / options.assumed;
      sum += speed;
      used++;
    }
    if (outside > 0) context.report(says.temperature(undefined, outside));
    if (used > 0) context.report(says['sound-speed logged'](undefined, sum / used, options.assumed));
    else context.report(says['sound-speed none'](undefined));
    return used === 0 ? {} : { columns: { depth, shallowest } };
  },
});
