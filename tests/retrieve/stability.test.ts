import { describe, expect, it } from 'vitest';
import { TURNED } from '../../shared/retrieve/earlier-cast.ts';
import { castMarks } from '../accuracy/cast-marks.ts';
import { DISTURBANCES, turnsOf } from '../accuracy/cast-stability.ts';

// `npm run accuracy cast` counts turned casts on more marks. Here there is one mark of each structure. At
// most two casts may turn, and only if another side was reported as equal.
const marks = [...castMarks({ name: 'few', seed: 960_000, survey: { spacing: 25 }, isStated: false }, 12)];

describe('a first cast stays under disturbances of the survey', () => {
  it.each(DISTURBANCES.map((one) => [one.name, one] as const))('%s', (_name, disturbance) => {
    const turns = turnsOf(marks, disturbance);
    expect(turns.length).toBeGreaterThanOrEqual(11);
    const turned = turns.filter(({ turn }) => turn > TURNED);
    expect(turned.length).toBeLessThanOrEqual(2);
    for (const { isSaid } of turned) expect(isSaid).toBe(true);
  });
});
