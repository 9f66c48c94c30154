import { range } from 'es-toolkit/math';
import { pickRows, randomIndex, seededRandom } from '../math/index.ts';
import type { LakePlaces } from './lake-places.ts';
import { isApart, isStructure, type Places } from './places.ts';
import { searchRules } from './rules.ts';

/** Marks closer than this count as one, m; below, the least number of separate marks for a pattern. */
const SEPARATE = 100;
export const MIN_SEPARATE = 5;
/** Number of random sets of marks, and how many of them may do as well as the real marks. */
const SEARCHES = 100;
const MAX_AS_WELL = 5;
/** Tries for each place of a random set. */
const TRIES = 50;

/** The test of whether the marks show more than chance would. */
export interface ChanceTest {
  /** Marks that are 100 m or more from each other. */
  readonly separate: number;
  /** Searches of 100 on as many random places on structure that do as well as the marks; all where the gate is closed. */
  readonly asWell: number;
  readonly isOpen: boolean;
}

/**
 * Compares the best rule of the marks with the best rules of 100 sets of as many random places on structure, equally far
 * apart.
 *
 * Marks come in clumps, and a clump is one place, so marks within 100 m count as one. A set for which the lake has no room
 * proves nothing and counts as one that does as well.
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
  /** Best score of a rule on some of the places. */
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
