import FlatQueue from 'flatqueue';
import { type LakePlaces, onGround } from './lake-places.ts';
import { deviation, isApart, isStructure, MEASURES, type Places } from './places.ts';
import { meetsAll, type Rule } from './rules.ts';
import type { Similarity } from './similarity.ts';

/** A place on sounded water that looks like the marks with fish or, without a pattern, is on structure. */
export interface ProposedPlace {
  readonly lat: number;
  readonly lon: number;
  /** Depth at the place, m. */
  readonly depth: number;
  /** Index into `STRUCTURE_WORDS`. */
  readonly word: number;
  /** True when the place meets the pattern on the mean bottom; false without a pattern. */
  readonly isMet: boolean;
  /**
   * Share of the draws of the bottom on which the place meets the pattern, 0 to 1. Without a pattern, the
   * share on which the place has the same word.
   */
  readonly sure: number;
  /** Indices in `Prospect.fish` of up to 2 marks most like the place, best first; empty without a pattern. */
  readonly alike: readonly number[];
}

export interface ChoiceOptions {
  /** Maximum number of places to propose. */
  readonly places: number;
  /** Minimum distance of proposed places from marks and from each other, m. */
  readonly apart: number;
}

/** Maximum number of places whose words `chooseSimilar` computes; each word takes a few milliseconds. */
const MAX_WORDS = 400;
/** Number of places checked on the draws for each place to propose, without a pattern. */
const SURER_OF = 4;
const MAX_ALIKE = 2;
/** Difference that two different words count as, in standard deviations of a measure. */
const OTHER_WORD = 2;

/** Finds the places most similar to the marks, best first. @param taken Nodes of the known marks. */
export function chooseSimilar(
  lake: LakePlaces,
  similarity: Similarity,
  taken: readonly number[],
  options: ChoiceOptions,
): Places {
  const { grid, water } = lake;
  const queue = new FlatQueue<number>();
  for (let i = 0; i < water.count; i++) queue.push(i, -Math.max(...similarity(water, i)));
  const words = new Map<number, number>();
  const chosen: number[] = [];
  while (chosen.length < options.places) {
    const i = queue.pop();
    if (i === undefined) break;
    const node = water.node[i];
    if (!isApart(grid, options.apart, node, [...taken, ...chosen])) continue;
    // A place without a known word is queued by its maximum similarity over all words, so a place that leaves
    // the queue with a known word is the best one left.
    if (words.has(i)) chosen.push(node);
    else if (words.size < MAX_WORDS) {
      const word = lake.wordAt(onGround(grid, node));
      if (word === undefined) continue;
      words.set(i, word);
      queue.push(i, -similarity(water, i)[word]);
    }
  }
  return placesAt(lake, chosen);
}

/** Finds places on structure, surest word first. The order says nothing about fish. */
export function chooseStructure(
  lake: LakePlaces,
  taken: readonly number[],
  options: ChoiceOptions,
): ProposedPlace[] {
  const { grid, water } = lake;
  const { relief } = water;
  const chosen: number[] = [];
  // Checking the draws is slow, so only the places of greatest relief are checked.
  const most = SURER_OF * options.places;
  for (const i of [...relief.keys()].sort((a, b) => relief[b] - relief[a] || a - b)) {
    if (chosen.length >= most) break;
    const node = water.node[i];
    if (!isApart(grid, options.apart, node, [...taken, ...chosen])) continue;
    const word = lake.wordAt(onGround(grid, node));
    if (word !== undefined && isStructure(word)) chosen.push(node);
  }
  const places = placesAt(lake, chosen);
  return Array.from(places.node, (node, i) => {
    const draws = lake.onDraws(node, true);
    return placeAt(lake, places, i, {
      isMet: false,
      sure: draws.filter(({ word }) => word[0] === places.word[i]).length / draws.length,
      alike: [],
    });
  })
    .sort((a, b) => b.sure - a.sure)
    .slice(0, options.places);
}

const placesAt = ({ grid, measure }: LakePlaces, nodes: readonly number[]): Places =>
  measure(nodes.map((node) => onGround(grid, node)));

/** Describes a place by the rule: `isMet`, `sure`, and the marks most like the place. */
export function proposedPlace(
  lake: LakePlaces,
  rule: Rule,
  fish: Places,
  places: Places,
  i: number,
): ProposedPlace {
  const draws = lake.onDraws(
    places.node[i],
    rule.conditions.some(({ family }) => family === 'word'),
  );
  const met = draws.filter((draw) => meetsAll(rule, draw, 0));
  return placeAt(lake, places, i, {
    isMet: meetsAll(rule, places, i),
    sure: met.length / Math.max(1, draws.length),
    alike: mostAlike(lake, rule, fish, places, i),
  });
}

/** Finds the marks most like a place, as indices. If the place meets the rule, so do the marks. */
function mostAlike({ background }: LakePlaces, rule: Rule, fish: Places, places: Places, i: number) {
  const scales = MEASURES.map((name) => ({ name, sd: deviation(background[name]) }));
  const distance = (mark: number): number =>
    scales.reduce(
      (sum, { name, sd }) => sum + ((fish[name][mark] - places[name][i]) / sd) ** 2,
      fish.word[mark] === places.word[i] ? 0 : OTHER_WORD ** 2,
    );
  const isMet = meetsAll(rule, places, i);
  const from = [...fish.node.keys()].filter((mark) => !isMet || meetsAll(rule, fish, mark));
  return from.sort((a, b) => distance(a) - distance(b) || a - b).slice(0, MAX_ALIKE);
}

function placeAt(
  { grid }: LakePlaces,
  { node, word }: Places,
  i: number,
  more: Pick<ProposedPlace, 'isMet' | 'sure' | 'alike'>,
): ProposedPlace {
  return { ...onGround(grid, node[i]), depth: grid.depth[node[i]], word: word[i], ...more };
}
