import { defineLogPlugin } from '../shared/contract/index.ts';
import { findJumps, findStale } from '../shared/survey/index.ts';
import { soundingPluginMessages as says } from '../shared/text/index.ts';

export const positionJumps = defineLogPlugin({
  name: 'position-jumps',
  summary: 'Drops stray fixes (impossible speed or jump) and fixes that stay the same while the boat moves.',
  stage: 'log',
  options: {
    on: { kind: 'switch', default: true, help: 'Drop stray and stale fixes.' },
    speed: {
      kind: 'speed',
      min: 1,
      max: 200,
      default: 30.867,
      help: 'Fastest possible speed of the boat, such as 60kn.',
    },
    jump: {
      kind: 'length',
      min: 20,
      max: 100_000,
      default: 500,
      help: 'Longest step between two soundings when there are no times to give the speed.',
    },
    agree: {
      kind: 'count',
      min: 2,
      max: 1000,
      default: 10,
      help: 'Most stray fixes in a row that may agree with each other; more are taken as a real place.',
    },
    stale: {
      kind: 'seconds',
      min: 1,
      max: 600,
      default: 10,
      help: 'Longest time that a position may stay the same while the boat moves.',
    },
    moving: {
      kind: 'speed',
      min: 0,
      max: 10,
      default: 0.5144,
      help: 'Speed from which the boat is taken to be moving, such as 1kn.',
    },
  },
  run({ log }, options, context) {
    if (!options.on) return {};
    const stale = findStale(log, options.stale, options.moving);
    const { rows, farthest } = findJumps(log, options, stale);
    if (stale.length + rows.length === 0) return {};
    if (rows.length > 0)
      context.report(says['position-jump']({ line: log.line[rows[0]] }, farthest, rows.length));
    if (stale.length > 0) context.report(says['stale-fix']({ line: log.line[stale[0]] }, stale.length));
    return {
      dropped: [
        { reason: 'soundings/position-jump', rows },
        { reason: 'soundings/stale-fix', rows: stale },
      ],
    };
  },
});
