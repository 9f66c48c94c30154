import fc from 'fast-check';
import { expect, it } from 'vitest';
import { JUDGE_STEP } from '../../shared/retrieve/launches.ts';
import { simulateRetrieve } from '../../shared/retrieve/retrieve.ts';
import { scratch } from '../../shared/retrieve/scratch.ts';
import { tackleOf } from '../../shared/retrieve/tackle.ts';
import { profileOf } from './path-measures.ts';

const tackle = tackleOf({ line: '12', cast: 45 });
const usual = { cast: 1, depth: 1 };

it('a retrieve that starts with its path in deep water takes exactly the path of one computed from the landing', () => {
  const [whole, started] = [scratch(60), scratch(60)];
  fc.assert(
    fc.property(
      fc.double({ min: -1, max: 9, noNaN: true }),
      fc.double({ min: -0.3, max: 0.3, noNaN: true }),
      fc.double({ min: 0, max: 1.5, noNaN: true }),
      fc.double({ min: 4, max: 45, noNaN: true }),
      fc.double({ min: 1, max: 8, noNaN: true }),
      fc.nat(tackle.lures.length - 1),
      (depth, gradient, bumps, cast, leastLine, lure) => {
        const bottom = profileOf((x) => depth + gradient * x + bumps * Math.sin(x / 3), 60);
        const { setup, flight } = tackle.launches(lure, cast)(usual);
        simulateRetrieve(setup, bottom, JUDGE_STEP, whole.path, whole.work, leastLine);
        simulateRetrieve(setup, bottom, JUDGE_STEP, started.path, started.work, leastLine, flight);
        const { count } = whole.path;
        expect(started.path.count).toBe(count);
        for (const key of ['distance', 'depth', 'line', 'touching'] as const)
          expect(started.path[key].slice(0, count)).toEqual(whole.path[key].slice(0, count));
      },
    ),
    { numRuns: 300 },
  );
});

it('a launch is computed once', () => {
  expect(tackle.launches(3, 40)(usual)).toBe(tackle.launches(3, 40)(usual));
});
