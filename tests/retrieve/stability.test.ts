import { describe, expect, it } from 'vitest';
import { TURNED } from '../../shared/retrieve/earlier-cast.ts';
import { castMarks } from '../accuracy/cast-marks.ts';
import { DISTURBANCES, turnsOf } from '../accuracy/cast-stability.ts';

// How many turn is counted on ten times as many marks by `npm run accuracy cast`; here one of each structure, and
// whatever turns must have been said to have an equal side.
const marks = [...castMarks({ name: 'few', seed: 960_000, survey: { spacing: 25 }, isStated: false }, 12)];

describe('a first cast stays when the lake comes in another guise', () => {
  it.each(DISTURBANCES.map((one) => [one.name, one] as const))('%s', (_name, disturbance) => {
    const turns = turnsOf(marks, disturbance);
    expect(turns.length).toBeGreaterThanOrEqual(11);
    const turned = turns.filter(({ turn }) => turn > TURNED);
    expect(turned.length).toBeLessThanOrEqual(2);
    for (const { isSaid } of turned) expect(isSaid).toBe(true);
  });
});
