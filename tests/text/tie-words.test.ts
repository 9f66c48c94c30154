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
    "Depths may be off by 1.5 ft. Saturday's passes read 3.0 ft deeper than Friday's over the same bottom, and the program cannot tell which is right (water level? transducer? late positions, as the passes run the other way?). Their depths were changed to match Friday's.",
  ],
  [
    'an offset that is only doubted',
    say['cross-offset'](undefined, file, -0.6096, undefined, false, false),
    'Depths may be off by 1.0 ft. b.csv reads 2.0 ft shallower than the other passes over the same bottom, and the program cannot tell which is right (water level? transducer?).',
  ],
  [
    'a shift that an offset explains as well',
    say.shift(undefined, file, 20, 0.6096, true),
    'b.csv disagrees with the rest: its positions are about 70 ft off, or its depths 2.0 ft. On this slope the two look the same. Check how the file was made.',
  ],
  [
    'a stretch that other passes contradict',
    say.contradicted(undefined, 1.8288, 0.03),
    'Over 3 % of the track one pass reads up to 6.0 ft off what the passes beside it read: weed, bait, or a form that one of them missed. Marks there say so; run those places again.',
  ],
  [
    'a drift that was taken out',
    say['drift corrected'](undefined, file, 0.3048),
    'The level changed by 1.0 ft over b.csv: taken out, as asked. The middle of the log counts as right.',
  ],
  [
    'positions moved by latencies of their own',
    say['lag corrected'](undefined, [1.2, 0.5], ['a.csv', 'b.csv']),
    'Positions were late by a.csv 1.20 s, b.csv 0.50 s: moved accordingly, as asked.',
  ],
])('%s is said as an angler reads it', (_, said, words) => {
  expect(feet(said).replaceAll('\u00a0', ' ')).toBe(words);
});
