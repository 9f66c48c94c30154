import { expect, test } from 'vitest';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import { inUnits } from '../../shared/contract/lengths.ts';
import { tieMessages as say } from '../../shared/text/messages/ties.ts';

const file = { kind: 'file', name: 'b.csv' } as const;
const day = { kind: 'day', name: 'Saturday' } as const;
const feet = (said: Diagnostic): string => inUnits(said.message, 'ft');

test.each([
  [
    'an offset that late positions would explain as well',
    say['cross-offset'](undefined, day, 0.9144, 'Friday', true, true),
    "Depths may be off by 1.5 ft: Saturday's passes read 3.0 ft deeper than Friday's over the same bottom. Their depths were changed to match Friday's. Another water level or a moved transducer would explain this; so would late positions, because these passes run the opposite way to the others. Nothing here shows which depths are right. If the water level changed, --levels needs readings from both times.",
  ],
  [
    'an offset that is reported but not corrected',
    say['cross-offset'](undefined, file, -0.6096, undefined, false, false),
    'Depths may be off by 1.0 ft: b.csv reads 2.0 ft shallower than the other passes over the same bottom. Another water level or a moved transducer would explain this. Nothing here shows which depths are right. If the water level changed, --levels needs readings from both times.',
  ],
  [
    'a shift that an offset explains as well',
    say.shift(undefined, file, 20, 0.6096, true),
    'b.csv does not agree with the other passes: its positions are about 70 ft off, or its depths 2.0 ft. On this slope both faults look the same. Check how the log was made.',
  ],
  [
    'a stretch that other passes contradict',
    say.contradicted(undefined, 1.8288, 0.03),
    'Depths may be off along 3 % of your track: one pass differs from the passes beside it by up to 6.0 ft, as happens over weeds or bait, or where one pass missed a form. If a mark has a message about this, run another pass there.',
  ],
  [
    'a drift that was corrected',
    say['drift corrected'](undefined, file, 0.3048),
    'A change of level by 1.0 ft over b.csv is taken out of its depths, as asked. The middle of the log is taken as right.',
  ],
  [
    'positions moved by latencies of their own',
    say['lag corrected'](undefined, [1.2, 0, -0.5], ['a.csv', 'b.csv', 'c.csv']),
    'Positions are moved along the track, as asked: a.csv was 1.20 s late, c.csv was 0.50 s early.',
  ],
])('%s is reported in words for an angler', (_, said, words) => {
  expect(feet(said).replaceAll('\u00a0', ' ')).toBe(words);
});
