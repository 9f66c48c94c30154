import { describe, expect, test } from 'vitest';
import { formatClock } from '../../shared/text/index.ts';
import { csv, plan, ringLake } from './lake.ts';

const ring = ringLake(24, 9);
const nothing = new Float64Array(0);
const lake = {
  ...ring,
  input: { ...ring.input, survey: { count: 0, lat: nothing, lon: nothing, shallowest: new Float32Array(0) } },
};

/** Makes a log with blanks at M2 to M13 and then a stop with fish at M1. */
function morning() {
  const blanks = Array.from({ length: 12 }, (_, at) => ({
    time: formatClock(60 * (390 + 15 * at)),
    mark: `M${at + 2}`,
    minutes: '12',
    fish: '0',
  }));
  const last = { time: '9:30', mark: 'M1', minutes: '20', fish: '4' };
  return csv(...blanks, last);
}

describe('a spot that gave fish on an otherwise dead lake', () => {
  test('keeps a chance of 0.95 despite blanks everywhere else', () => {
    const { plan: made } = plan(lake, { log: morning(), now: '11:50', at: 'M13', first: 'M1' });
    const [back] = made!.stops.filter(({ spot }) => spot.name === 'M1');
    expect(back.chance).toBeGreaterThanOrEqual(0.95);
    const others = made!.stops.filter(({ spot }) => spot.name !== 'M1');
    for (const { chance } of others) expect(chance).toBeLessThan(0.5);
  });
});
