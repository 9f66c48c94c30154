import { sum } from 'es-toolkit/math';
import { ringMean } from '../bottom/index.ts';
import { type BottomModel, type LakeBottom, STRUCTURE_WORDS, type StructureWord } from '../contract/index.ts';
import type { StructureFeatures } from './features/features.ts';
import { type HeightField, Surroundings, toDegrees } from './features/height-field.ts';
import { parseTable, scoreWords } from './score.ts';
import { support } from './stated-height.ts';
import { CENTERED, featuresOfModel, featuresOnLake } from './structure-features.ts';
import { STRUCTURE_TABLE } from './structure-table.ts';

export interface Structure {
  readonly word: StructureWord;
  /** Probability of the word, 0 to 1, limited where the relief is low or passes are far apart. */
  readonly confidence: number;
  readonly runnerUp: StructureWord;
  /** Probabilities in the order of `STRUCTURE_WORDS`; their sum is below 1 where `support` is below 1. */
  readonly probabilities: Float64Array;
  /** Features of the look that supports the word best, among the `CENTERED` looks at the mark itself. */
  readonly features: StructureFeatures;
  /** Range of smoothed heights within 60 m of the mark, after the plane of `planeSlope` is subtracted, m. */
  readonly relief: number;
  /** Minimum relief of structure that is worth fishing and unlikely to be an error of the model, m. */
  readonly leastRelief: number;
  /** Slope of the least-squares plane through the bottom within 60 m of the mark, deg. */
  readonly planeSlope: number;
}

const TABLE = parseTable(STRUCTURE_TABLE);
const SLOPE = STRUCTURE_WORDS.indexOf('slope');
const FLAT = STRUCTURE_WORDS.indexOf('flat');

const FLAT_LIMIT = 2;
/** Scale of the logistic transition between `slope` and `flat`, deg; judgment. */
const FLAT_SOFTNESS = 0.12;
const AROUND = new Surroundings(60);
/** Relief below which there is nothing to fish, m; judgment. */
const MIN_RELIEF = 0.4;
/** Minimum relief that counts, divided by the mean standard deviation of the depth 24 m from the mark. */
const RELIEF_OVER_SD = 2;
/** Maximum confidence in a word other than slope and flat where the relief is below `leastRelief`. */
const LOW_RELIEF_CONFIDENCE = 0.5;
/** Pass spacing above which the confidence is limited, m. */
const WIDE_SPACING = 60;
const WIDE_CONFIDENCE = 0.6;

/**
 * Names the structure around a mark, from the bottom of the whole lake or, for a mark outside the lake or
 * without a lake, from the mark's own model.
 *
 * @returns undefined unless the model has the status `ok` and a grid.
 */
export function findStructure(model: BottomModel, lake?: LakeBottom): Structure | undefined {
  if (model.status !== 'ok' || model.grid === undefined) return undefined;
  const seen = (lake && featuresOnLake(lake, model.lat, model.lon)) ?? featuresOfModel(model)!;
  const { raw, smooth } = seen[0].field;
  const relief = AROUND.reliefOf(smooth, AROUND.tiltOf(raw));
  const leastRelief = Math.max(MIN_RELIEF, RELIEF_OVER_SD * ringMean(model.grid.sd, 24));
  const probabilities = probabilitiesOf(seen);
  const words = wordsByProbability(probabilities, seen);
  const [first, features] = words.next().value!;
  const [second] = words.next().value!;
  let confidence = probabilities[first];
  if (relief < leastRelief && first !== SLOPE && first !== FLAT) {
    confidence = Math.min(confidence, LOW_RELIEF_CONFIDENCE);
  }
  if (model.passSpacing > WIDE_SPACING) confidence = Math.min(confidence, WIDE_CONFIDENCE);
  return {
    word: STRUCTURE_WORDS[first],
    confidence,
    runnerUp: STRUCTURE_WORDS[second],
    probabilities,
    features,
    relief,
    leastRelief,
    planeSlope: slopeAround(seen[0].field),
  };
}

/** Returns the index in `STRUCTURE_WORDS` of the most likely word at a place; undefined on unknown bottom. */
export function wordOnLake(lake: LakeBottom, lat: number, lon: number): number | undefined {
  const seen = featuresOnLake(lake, lat, lon);
  return seen && wordsByProbability(probabilitiesOf(seen), seen).next().value?.[0];
}

/** Scored probability below which the support for a word is not measured, because the word hardly counts. */
const SCARCE = 0.02;

/**
 * Returns the probability of every word: the weighted mean over all looks of the scored probability times the
 * support for the word. The looks at the mark itself together weigh as much as one look beside the mark.
 */
function probabilitiesOf(seen: readonly StructureFeatures[]): Float64Array {
  const weights = seen.map((_, look) => (look < CENTERED ? 1 / CENTERED : 1));
  const total = sum(weights);
  const probabilities = new Float64Array(STRUCTURE_WORDS.length);
  for (const [look, features] of seen.entries()) {
    const scored = scoreWords(TABLE, features.values);
    shareLevelGround(scored, slopeAround(features.field));
    STRUCTURE_WORDS.forEach((word, w) => {
      const held = scored[w] < SCARCE ? 1 : support(word, features);
      probabilities[w] += (weights[look] * scored[w] * held) / total;
    });
  }
  return probabilities;
}

/**
 * Yields each word that any look at the mark itself supports, the most likely first, with the look that
 * supports the word best.
 */
function* wordsByProbability(
  probabilities: Float64Array,
  seen: readonly StructureFeatures[],
): Generator<readonly [word: number, best: StructureFeatures], undefined> {
  for (const w of [...probabilities.keys()].sort((a, b) => probabilities[b] - probabilities[a] || a - b)) {
    const supports = seen.slice(0, CENTERED).map((features) => support(STRUCTURE_WORDS[w], features));
    const most = Math.max(...supports);
    if (most > 0) yield [w, seen[supports.indexOf(most)]];
  }
}

const slopeAround = ({ raw }: HeightField): number => toDegrees(Math.hypot(...AROUND.tiltOf(raw)));

/** Splits the sum of both probabilities between slope and flat. @param slope Slope around the mark, deg. */
function shareLevelGround(probabilities: Float64Array, slope: number): void {
  const both = probabilities[SLOPE] + probabilities[FLAT];
  const steep = 1 / (1 + Math.exp(-(slope - FLAT_LIMIT) / FLAT_SOFTNESS));
  probabilities[SLOPE] = both * steep;
  probabilities[FLAT] = both * (1 - steep);
}
