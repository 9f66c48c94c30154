import { range } from 'es-toolkit/math';
import { pickRows, randomIndex, seededRandom } from '../math/index.ts';
import type { LakePlaces } from './lake-places.ts';
import { isApart, isStructure, type Places } from './places.ts';
import { searchRules } from './rules.ts';

/** Minimum distance between separate marks, m. */
const SEPARATE = 100;
/** Minimum number of separate marks for a pattern. */
export const MIN_SEPARATE = 5;
const SEARCHES = 100;
/** Maximum number of random sets that may do as well as the marks for a pattern to be accepted. */
const MAX_AS_WELL = 5;
/** Number of random places tried for each place of a random set. */
const TRIES = 50;

export interface ChanceTest {
  /** Number of marks with fish when marks less than 100 m apart count as one. */
  readonly separate: number;
  /** Number of the 100 random sets with a rule at least as good as that of the marks; 100 if not `isOpen`. */
  readonly asWell: number;
  /** True when 5 or more separate marks have a rule, and at most 5 random sets do as well as the marks. */
  readonly isOpen: boolean;
}

/**
 * Compares the best rule of the separate marks with the best rules of up to 100 random sets of places. Each
 * set has as many places as there are separate marks, at least 100 m apart, on structure if the background
 * has any. The test ends when 6 sets do as well as the marks.
 *
 * Marks less than 100 m apart count as one, because a clump of marks is one place. A set for which too few
 * places are found proves nothing, so it counts as doing as well as the marks.
 */
export function testAgainstChance({ grid, tableOf }: LakePlaces, fish: Places, blanks: Places): ChanceTest {
  const separated = (places: Places, candidates: Iterable<number>, most: number): number[] => {
    const chosen: number[] = [];
    for (const i of candidates) {
      const others = chosen.map((other) => places.node[other]);
      if (chosen.length < most && isApart(grid, SEPARATE, places.node[i], others)) chosen.push(i);
    }
    return chosen;
  };
  const thin = separated(fish, fish.node.keys(), fish.count);
  const separate = thin.length;
  const closed = { separate, asWell: SEARCHES, isOpen: false };
  if (separate < MIN_SEPARATE) return closed;
  const table = tableOf();
  const { places } = table;
  const bestScore = (of: Places, some: readonly number[]): number =>
    searchRules(table, pickRows(of, some), blanks)[0]?.score ?? 0;
  const own = bestScore(fish, thin);
  if (own <= 0) return closed;
  const structure = [...places.word.keys()].filter((i) => isStructure(places.word[i]));
  const from = structure.length > 0 ? structure : [...places.word.keys()];
  let asWell = 0;
  for (let search = 0; search < SEARCHES; search++) {
    const random = seededRandom(1 + search);
    const tries = range(TRIES * separate).map(() => from[randomIndex(random, from.length)]);
    const chosen = separated(places, tries, separate);
    if (chosen.length < separate || bestScore(places, chosen) >= own) asWell++;
    if (asWell > MAX_AS_WELL) return closed;
  }
  return { separate, asWell, isOpen: true };
}
