import type { DepthRange } from '../contract/index.ts';
import { type LakeModel, nodeAt } from '../lake/index.ts';
import { type ChanceTest, testAgainstChance } from './chance-test.ts';
import {
  type ChoiceOptions,
  chooseSimilar,
  chooseStructure,
  type ProposedPlace,
  proposedPlace,
} from './choose.ts';
import { type LakePlaces, lakePlaces } from './lake-places.ts';
import { type Places, part } from './places.ts';
import { meetsAll, type Rule, type RuleTable, searchRules } from './rules.ts';
import { type SimilarityOf, similarityOn } from './similarity.ts';

export interface Known {
  readonly name: string;
  readonly lat: number;
  readonly lon: number;
  /** True for a mark with fish, false for a mark without fish, undefined when unknown. */
  readonly hasFish?: boolean;
  /** Depths of the fish from the note of the mark, m. */
  readonly fishDepth?: DepthRange | undefined;
}

export interface Prospect {
  /** Marks with fish where the bottom is known, in the order given. */
  readonly fish: readonly Known[];
  /** Number of marks without fish where the bottom is known. */
  readonly blanks: number;
  /** Names of all marks where the bottom is unknown. */
  readonly unsounded: readonly string[];
  readonly chanceTest: ChanceTest;
  /** The pattern; absent unless `chanceTest.isOpen` and a rule is found. */
  readonly pattern?: {
    readonly rule: Rule;
    /** Number of marks with fish that meet the rule. */
    readonly met: number;
    /** Number of marks without fish that meet the rule. */
    readonly metBlanks: number;
    /** Share of the background places that meet the rule, 0 to 1: an estimate for the sounded water. */
    readonly share: number;
    /**
     * Number of left-out marks that rank with the best twentieth of the background by similarity to the other
     * marks.
     */
    readonly foundAgain: number;
    /** Number of marks left out, one at a time. */
    readonly leftOut: number;
  };
  /** Most similar places, best first; without a pattern, places on structure, surest first, if `any`. */
  readonly places: readonly ProposedPlace[];
}

export interface ProspectOptions extends ChoiceOptions {
  /** True to list structure when there is no pattern. */
  readonly any: boolean;
}

/** Maximum number of marks left out, one at a time. */
const LEFT_OUT = 40;
/** A left-out mark is found again if less than this share of the background ranks better. */
const BEST_SHARE = 0.05;

/**
 * Finds what marks with fish have in common, and unmarked places on sounded water that look like them.
 *
 * A pattern is accepted only when the best rule of the separate marks scores better than the best rules of at
 * least 95 of 100 random sets of places. The same input gives the same result. No result is a probability of
 * fish.
 *
 * @param lake The measured water of the model, if already available.
 */
export function prospect(
  model: LakeModel,
  marks: readonly Known[],
  options: ProspectOptions,
  lake: LakePlaces = lakePlaces(model),
): Prospect {
  const known = marks.filter((mark) => lake.wordAt(mark) !== undefined);
  const withFish = known.filter(({ hasFish }) => hasFish === true);
  const fish = lake.measure(withFish);
  const blanks = lake.measure(known.filter(({ hasFish }) => hasFish === false));
  const taken = known.map(({ lat, lon }) => nodeAt(lake.grid, lat, lon)!);
  const chanceTest = testAgainstChance(lake, fish, blanks);
  const account = {
    fish: withFish,
    blanks: blanks.count,
    unsounded: marks.filter((mark) => !known.includes(mark)).map(({ name }) => name),
    chanceTest,
  };
  const rules = chanceTest.isOpen ? searchRules(lake.tableOf(), fish, blanks) : [];
  if (rules.length === 0)
    return { ...account, places: options.any ? chooseStructure(lake, taken, options) : [] };
  const [rule] = rules;
  const count = (of: Places): number => part(of, (i) => meetsAll(rule, of, i)).count;
  const similarityOf = similarityOn(blanks, lake.background);
  const places = chooseSimilar(lake, similarityOf(rules, fish), taken, options);
  return {
    ...account,
    pattern: {
      rule,
      met: count(fish),
      metBlanks: count(blanks),
      share: count(lake.background) / lake.background.count,
      ...leaveOut(lake.tableOf(), similarityOf, fish, blanks),
    },
    places: Array.from(places.node, (_, i) => proposedPlace(lake, rule, fish, places, i)),
  };
}

function leaveOut(table: RuleTable, similarityOf: SimilarityOf, fish: Places, blanks: Places) {
  const { places } = table;
  const leftOut = Math.min(LEFT_OUT, fish.count);
  let foundAgain = 0;
  for (let n = 0; n < leftOut; n++) {
    const own = Math.floor((n * fish.count) / leftOut);
    const others = part(fish, (i) => i !== own);
    const similarity = similarityOf(searchRules(table, others, blanks), others);
    const mine = similarity(fish, own)[fish.word[own]];
    const better = places.word.filter((word, i) => similarity(places, i)[word] > mine).length;
    if (better < BEST_SHARE * places.count) foundAgain++;
  }
  return { foundAgain, leftOut };
}
