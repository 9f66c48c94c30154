import {
  type Candidate,
  planRoom,
  raiseTables,
  type ScoreStyle,
  type ScoreTables,
  Shortlist,
  screenGap,
} from './screening.ts';
import { pushPacked, type Sequence, walkFrom } from './sequence.ts';
import type { Walk } from './walk.ts';

/** Best gain per time, nothing left to chance. */
export const PLAIN_STYLE: ScoreStyle = { exponent: 1, timePower: 1, noise: 0, random: () => 0.5 };

/** Adds stops to a sequence, the best one each time, until none fits; changes `sequence`. */
export function fillSequence(tables: ScoreTables, walk: Walk, sequence: Sequence, style: ScoreStyle): void {
  raiseTables(tables, style.exponent);
  while (insertBest(tables, walk, sequence, style)) {
    // each round adds one stop
  }
}

function insertBest(tables: ScoreTables, walk: Walk, sequence: Sequence, style: ScoreStyle): boolean {
  const stays = tables.problem.stays.length;
  walk.popTo(0);
  if (!walkFrom(walk, stays, sequence, 0)) return false;
  const value = walk.total;
  let best: Candidate | undefined;
  let bestScore = 0;
  for (const candidate of insertionCandidates(tables, walk, sequence, style)) {
    walk.popTo(candidate.position);
    if (!pushPacked(walk, stays, candidate.packed)) continue;
    if (!walkFrom(walk, stays, sequence, candidate.position)) continue;
    const gain = walk.total - value;
    if (gain <= LEAST_GAIN) continue;
    const score = (candidate.luck * gain ** style.exponent) / candidate.extra;
    if (score > bestScore) {
      bestScore = score;
      best = candidate;
    }
  }
  if (best !== undefined) sequence.splice(best.position, 0, best.packed);
  return best !== undefined;
}

/** Fish; above the step in which plans are told apart, or a stop might be put in and taken out for ever. */
const LEAST_GAIN = 1e-6;
/** Insertions tried exactly in each round, of spots not in the plan and of spots in it. */
const TRIED = 12;

/** Candidates from the last position back, so that the walk's first part is never walked again. */
function insertionCandidates(
  tables: ScoreTables,
  walk: Walk,
  sequence: Sequence,
  style: ScoreStyle,
): Candidate[] {
  const room = planRoom(tables.problem, walk, sequence);
  const outside = new Shortlist(TRIED);
  const inside = new Shortlist(TRIED);
  for (let position = sequence.length; position >= 0; position--) {
    walk.popTo(position);
    const gap = { position, next: room.nodes[position], latest: room.latest[position] };
    screenGap(tables, walk, gap, room.used, style, outside, inside);
  }
  walkFrom(walk, tables.problem.stays.length, sequence, 0);
  return [...outside.items, ...inside.items].sort((a, b) => b.position - a.position || b.score - a.score);
}
