import {
  type BottomOptions,
  type KnownBottom,
  makeBottom,
  STRUCTURE_WORDS,
} from '../../fixtures/lakes/bottom.ts';
import { type LocalSoundings, type SurveyOptions, simulateSurvey } from '../../fixtures/lakes/survey.ts';
import type { StructureWord } from '../../shared/contract/bottom-model.ts';

/** A mark on a known bottom with simulated soundings, in m from the mark. */
export interface KnownMark {
  readonly word?: StructureWord;
  readonly truth: Truth;
  readonly soundings: LocalSoundings;
}

export interface Truth {
  /** m. */
  readonly depth: number;
  /** deg. */
  readonly slope: number;
  /** deg, true. */
  readonly aspect: number;
}

/** Parameters of the bottoms and surveys in one row of the table. */
export interface Scenario {
  readonly name: string;
  readonly bottom?: Omit<BottomOptions, 'seed'>;
  readonly survey: Omit<SurveyOptions, 'seed'>;
}

/** Returns the true depth, slope and aspect at a position, from differences over 1 m. */
export function truthAt(bottom: KnownBottom, east: number, north: number): Truth {
  const h = 0.5;
  const e = (bottom.depth(east + h, north) - bottom.depth(east - h, north)) / (2 * h);
  const n = (bottom.depth(east, north + h) - bottom.depth(east, north - h)) / (2 * h);
  return {
    depth: bottom.depth(east, north),
    slope: (Math.atan(Math.hypot(e, n)) * 180) / Math.PI,
    aspect: ((Math.atan2(e, n) * 180) / Math.PI + 360) % 360,
  };
}

/** Generates `perWord` marks for each structure word, the words taking turns. */
export function* scenarioMarks(scenario: Scenario, perWord: number, seed: number): Generator<KnownMark> {
  for (let k = 0; k < perWord * STRUCTURE_WORDS.length; k++) {
    const word = STRUCTURE_WORDS[k % STRUCTURE_WORDS.length];
    const bottom = makeBottom(word, { ...scenario.bottom, seed: seed + k });
    const soundings = simulateSurvey(bottom, { radius: 122, ...scenario.survey, seed: seed * 3 + k });
    yield { word, truth: truthAt(bottom, 0, 0), soundings };
  }
}
