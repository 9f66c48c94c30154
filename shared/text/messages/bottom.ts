import { inMeters } from '../../contract/index.ts';
import { bearingText } from '../quantity.ts';
import { messages } from './make.ts';

/** A chance as odds, without percent: 1 in 4. */
export const oddsText = (chance: number): string =>
  chance > 0.6 ? `${Math.round(10 * chance)} in 10` : `1 in ${Math.round(1 / chance)}`;

/** Messages about what the soundings at a mark cannot support. */
export const bottomMessages = {
  ...messages('bottom', 'warning', {
    'no-data': (found: number, radius: number) => [
      found === 0
        ? `No sonar within ${inMeters(radius)}, so nothing is worked out here. Idle over it both ways and log it.`
        : `Too little sonar within ${inMeters(radius)} to work anything out here (${found === 1 ? 'one depth' : `${found} depths`}). Idle over it both ways and log it.`,
      { values: { found, radius } },
    ],
    'one-pass': `No slope and no structure: you crossed this only once. Run one more pass ${inMeters(20)} to ${inMeters(40)} to either side.`,
    edge: 'No structure, and a slope that may be off: sonar covers one side only. Run a pass on the other side.',
    sparse: (spacing: number) => [
      `No structure: your passes are about ${inMeters(spacing)} apart, and over uneven bottom it takes ${inMeters(40)} or less. Run passes between them.`,
      { values: { spacing } },
    ],
    'passes-disagree': (sd: number) => [
      `The depth here may be off by ${inMeters(sd, 1)}: your passes disagree about it. The messages about the logs say why.`,
      { values: { sd } },
    ],
  }),
  ...messages('bottom', 'note', {
    /**
     * @param chance 0 to 1. @param size Usual size of such a form, m. @param distance To the nearest pass, m.
     * @param axis Bearing of a pass over the mark, deg true.
     */
    'missed-form': (
      {
        chance,
        size,
        distance,
      }: { readonly chance: number; readonly size: number; readonly distance: number },
      axis: number,
      declination: number | undefined,
    ) => [
      `There is a ${oddsText(chance)} chance that your passes missed a form here (on this lake about ${inMeters(size)} high or deep): the nearest pass is ${inMeters(distance)} away. Run one over the mark along ${bearingText(axis, 'M', declination)}.`,
      { values: { chance, size, distance, axis } },
    ],
    level: (slope: number, slopeSd: number) => [
      `No direction of slope: the bottom is too level here (${slope.toFixed(1)} deg, give or take ${slopeSd.toFixed(1)}).`,
      { values: { slope, slopeSd } },
    ],
  }),
  ...messages('structure', 'note', {
    unsure: (confidence: number) => [
      `The structure is a guess: it has only ${(100 * confidence).toFixed(0)} % confidence, so the runner-up may be right. Run passes closer together to find out.`,
      { values: { confidence } },
    ],
    'low-relief': (relief: number, need: number) => [
      `The structure is a guess: the bottom changes by ${inMeters(relief, 1)} within ${inMeters(60)}, and it takes about ${inMeters(need, 1)} to tell a form from noise.`,
      { values: { relief, need } },
    ],
  }),
};
