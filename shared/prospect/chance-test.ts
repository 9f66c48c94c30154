import type { Lattice } from '../lake/index.ts';
import { randomIndex, seededRandom } from '../math/index.ts';
import type { LakePlaces } from './lake-places.ts';
import { apart, isStructure, type Places, part } from './places.ts';
import { type RuleTable, searchRules } from './rules.ts';

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

/** Best score of a rule on random set `search` of `count` places on structure; undefined where they find no room. */
function scoreOfSet(
  lattice: Lattice,
  table: RuleTable,
  count: number,
  search: number,
  blanks: Places,
): number | undefined {
  const { places } = table;
  const all = Array.from({ length: places.count }, (_, i) => i);
  const structure = all.filter((i) => isStructure(places.word[i]));
  const from = structure.length > 0 ? structure : all;
  const random = seededRandom(1 + search);
  const chosen = new Set<number>();
  for (let tries = 0; chosen.size < count && tries < TRIES * count; tries++) {
    const place = from[randomIndex(random, from.length)];
    if ([...chosen].every((other) => apart(lattice, places.node[place], places.node[other]) >= SEPARATE))
      chosen.add(place);
  }
  return chosen.size < count
    ? undefined
    : bestScore(
        table,
        part(places, (i) => chosen.has(i)),
        blanks,
      );
}

const bestScore = (table: RuleTable, of: Places, blanks: Places): number =>
  searchRules(table, of, blanks)[0]?.score ?? 0;

/**
 * Compares the best rule of the marks with the best rules of 100 sets of as many random places on structure, equally far
 * apart.
 *
 * Marks come in clumps, and a clump is one place, so marks within 100 m count as one. A set for which the lake has no room
 * proves nothing and counts as one that does as well.
 */
export function testAgainstChance({ grid, tableOf }: LakePlaces, fish: Places, blanks: Places): ChanceTest {
  const thin = new Set(thinned(grid, fish.node));
  const separate = thin.size;
  const closed = { separate, asWell: SEARCHES, isOpen: false };
  if (separate < MIN_SEPARATE) return closed;
  const table = tableOf();
  // Keeps the first of several marks at one node.
  const own = bestScore(
    table,
    part(fish, (i) => thin.delete(fish.node[i])),
    blanks,
  );
  if (own <= 0) return closed;
  let asWell = 0;
  for (let search = 0; search < SEARCHES; search++) {
    const score = scoreOfSet(grid, table, separate, search, blanks);
    if (score === undefined || score >= own) asWell++;
    if (asWell > MAX_AS_WELL) return closed;
  }
  return { separate, asWell, isOpen: true };
}

/** Nodes at least 100 m from every node before them. */
function thinned(lattice: Lattice, nodes: Iterable<number>): number[] {
  const kept: number[] = [];
  for (const node of nodes)
    if (kept.every((other) => apart(lattice, node, other) >= SEPARATE)) kept.push(node);
  return kept;
}
