import { defineLogPlugin } from '../shared/contract/index.ts';
import { moveAlongCourse } from '../shared/survey/index.ts';
import { soundingPluginMessages as says } from '../shared/text/index.ts';

export const draftOffset = defineLogPlugin({
  name: 'draft-offset',
  summary: 'Adds the draft of the transducer to depths and moves positions from antenna to transducer.',
  stage: 'log',
  options: {
    on: { kind: 'switch', default: true, help: 'Apply draft and offsets.' },
    draft: {
      kind: 'length',
      min: 0,
      max: 10,
      flag: 'transducer-draft',
      help: 'Depth of the transducer below the waterline. It is not added to a log that measures depths from the surface or the keel.',
    },
    offset: {
      kind: 'length',
      min: -10,
      max: 10,
      flag: 'depth-offset',
      help: 'Length to add to every logged depth; negative to subtract. For depths below the keel, give the depth of the keel.',
    },
    ahead: {
      kind: 'length',
      min: -30,
      max: 30,
      default: 0,
      help: 'How far the transducer is ahead of the antenna; negative when astern.',
    },
    right: {
      kind: 'length',
      min: -10,
      max: 10,
      default: 0,
      help: 'How far the transducer is to the right of the antenna, looking ahead; negative to the left.',
    },
  },
  run({ log }, options, context) {
    if (!options.on) return {};
    const { draft, offset, ahead, right } = options;
    const { depthFrom } = log;
    const isAdded = draft !== undefined && (depthFrom === undefined || depthFrom === 'transducer');
    if (isAdded) context.report(says['depth-offset'](undefined, draft, 'draft of the transducer'));
    else if (draft !== undefined)
      context.report(says['draft-not-added'](undefined, depthFrom === 'keel' ? 'keel' : 'water surface'));
    if (offset !== undefined) context.report(says['depth-offset'](undefined, offset, 'as asked'));
    else if (depthFrom === 'keel') context.report(says['depth-below-keel'](undefined));
    else if (depthFrom === 'transducer' && !isAdded)
      context.report(says['depth-below-transducer'](undefined));
    else if (depthFrom === undefined && !isAdded) context.report(says['depth-reference'](undefined));
    const add = (isAdded ? draft : 0) + (offset ?? 0);
    const depths = add === 0 ? {} : { depth: addTo(log.depth, add), shallowest: addTo(log.shallowest, add) };
    if (ahead === 0 && right === 0) return { columns: depths };
    context.report(says['antenna-offset'](undefined, ahead, right));
    return { columns: { ...depths, ...moveAlongCourse(log, () => [ahead, right]) } };
  },
});

const addTo = (depths: Float32Array, meters: number): Float32Array => depths.map((depth) => depth + meters);
