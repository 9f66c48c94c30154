import { describe, expect, it } from 'vitest';
import { castMarks } from '../accuracy/cast-marks.ts';
import { DISTURBANCES, TURNED, turnsOf } from '../accuracy/cast-stability.ts';

// The whole figures are printed by `npm run accuracy cast`; here a dozen marks, one of each structure.
const marks = [...castMarks({ name: 'few', seed: 960_000, survey: { spacing: 25 }, isStated: false }, 12)];

describe('a first cast stays when the lake comes in another guise', () => {
  it.each(DISTURBANCES.map((one) => [one.name, one] as const))('%s', (_name, disturbance) => {
    const turns = turnsOf(marks, disturbance);
    expect(turns.length).toBeGreaterThanOrEqual(11);
    const turned = turns.filter(({ turn }) => turn > TURNED);
    expect(turned.length).toBeLessThanOrEqual(1);
    for (const { isSaid } of turned) expect(isSaid).toBe(true);
  });
});
