import { inMeters } from '../../contract/index.ts';
import { bearingText } from '../quantity.ts';
import { messages } from './make.ts';

/** Formats a chance as odds: `1 in 4`, `7 in 10`. @param chance 0 to 1, not 0. */
export const oddsText = (chance: number): string =>
  chance > 0.6 ? `${Math.min(9, Math.round(10 * chance))} in 10` : `1 in ${Math.round(1 / chance)}`;

/** Messages about what cannot be told from the soundings at a mark. */
export const bottomMessages = {
  ...messages('bottom', 'warning', {
    'no-data': (found: number, radius: number) => [
      found === 0
        ? `No sonar within ${inMeters(radius)}, so nothing is worked out here. Log two passes that cross over the mark.`
        : `Nothing is worked out here: your sonar within ${inMeters(radius)} (${found === 1 ? 'one depth' : `${found} depths`}) is too little or too far from the mark. Log two passes that cross over the mark.`,
      { values: { found, radius } },
    ],
    'no-data dry': (found: number, radius: number) => [
      'Nothing is worked out here: at the water level of the plan, the bottom under your passes here is dry. Check that water level (--water-level, or --levels).',
      { values: { found, radius } },
    ],
    'one-pass': `No slope and no structure: all your sonar here is along one line. Run one more pass over the mark, across this line.`,
    edge: 'No structure, and a slope that may be off: your sonar covers only one side of the mark. Run a pass on the other side.',
    sparse: (spacing: number) => [
      `No structure: your passes are about ${inMeters(spacing)} apart, too far for the uneven bottom here. Run passes between them.`,
      { values: { spacing } },
    ],
    'passes-disagree': (sd: number) => [
      `The depth here may be off by ${inMeters(sd, 1)}: your passes give different depths. Run another pass over the mark to see which depth is right.`,
      { values: { sd } },
    ],
  }),
  ...messages('bottom', 'note', {
    /** @param axis Bearing on which to run the pass over the mark, deg true. */
    'missed-form': (
      {
        chance,
        size,
        distance,
      }: { readonly chance: number; readonly size: number; readonly distance: number },
      axis: number,
      declination: number | undefined,
    ) => [
      `The chance is ${oddsText(chance)} that your passes missed a form about ${inMeters(size, 1)} high or deep here: the nearest pass is ${inMeters(distance)} away. Run a pass over the mark along ${bearingText(axis, 'M', declination)}.`,
      { values: { chance, size, distance, axis } },
    ],
    level: (slope: number, slopeSd: number) => [
      `Your passes do not show which way the bottom slopes here: the slope is ${slope.toFixed(1)} deg, give or take ${slopeSd.toFixed(1)}.`,
      { values: { slope, slopeSd } },
    ],
  }),
  ...messages('structure', 'note', {
    unsure: (confidence: number) => [
      `The structure is a guess: its confidence is only ${(100 * confidence).toFixed(0)} %, so it may be another form. Run passes closer together to find out.`,
      { values: { confidence } },
    ],
    'low-relief': (relief: number, need: number) => [
      `The structure is a guess: the bottom changes by only ${inMeters(relief, 1)} within ${inMeters(60)}, and it takes about ${inMeters(need, 1)} to be sure of a form.`,
      { values: { relief, need } },
    ],
  }),
};
