import { type BottomOptions, makeBottom, STRUCTURE_WORDS } from '../../fixtures/lakes/bottom.ts';
import type { Family } from '../../fixtures/lakes/profiles.ts';
import { type Random, random } from '../../fixtures/lakes/random.ts';
import { type SurveyOptions, simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { modelBottom } from '../../shared/bottom/model-bottom.ts';
import { featuresOfModel } from '../../shared/structure/structure-features.ts';

/** Features of many simulated marks with their true words. */
export interface Dataset {
  readonly features: Float64Array[];
  /** Index of the true word. */
  readonly words: number[];
}

/** Draws the parameters of a mark: its bottom and its survey. */
export type Recipe = (random: Random) => {
  readonly bottom: Omit<BottomOptions, 'seed' | 'family'>;
  readonly survey: Omit<SurveyOptions, 'seed'>;
};

/**
 * The full range that the table should cover: passes 15 to 65 m apart, quiet and noisy sonar, rough and smooth
 * bottoms.
 */
export const trainingRecipe: Recipe = (random) => ({
  bottom: {
    roughness: random.next() < 0.35 ? random.range(0.08, 0.28) : undefined,
    second: random.next() < 0.3 ? [68, 115] : undefined,
    relief: random.next() < 0.3 ? random.logRange(0.2, 1) : random.range(0.9, 1.3),
  },
  survey: {
    spacing: random.logRange(15, 65),
    noise: random.range(0.05, 0.18),
    offset: random.range(0.4, 2.3),
    bias: random.range(0.02, 0.1),
    lag: random.next() < 0.3 ? random.range(0, 2) : 0,
    wander: random.range(0.3, 2.5),
    step: random.pick([1.5, 2.5, 3, 3]),
  },
});

/** Makes `perWord` marks of each word, each surveyed `surveys` times. */
export function makeDataset(
  families: readonly Family[],
  recipe: Recipe,
  perWord: number,
  surveys: number,
  seed: number,
): Dataset {
  const source = random(seed);
  const features: Float64Array[] = [];
  const words: number[] = [];
  for (let k = 0; k < perWord; k++) {
    STRUCTURE_WORDS.forEach((word, w) => {
      const family = source.pick(families);
      const first = recipe(source);
      const bottom = makeBottom(word, { ...first.bottom, family, seed: seed * 1_000_003 + k * 12 + w });
      for (let s = 0; s < surveys; s++) {
        const survey = s === 0 ? first.survey : recipe(source).survey;
        const soundings = simulateSurvey(bottom, {
          radius: 122,
          ...survey,
          seed: Math.floor(source.next() * 2 ** 31),
        });
        const found = featuresOfModel(modelBottom(soundings, 0, 0));
        if (found === undefined) continue;
        features.push(found[0].values);
        words.push(w);
      }
    });
  }
  return { features, words };
}
